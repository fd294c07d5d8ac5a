import type { Texts } from '../texts/en.ts';
import { useTexts } from '../texts/texts.ts';
import { useApp, usePage, useView } from './app-context.ts';
import type { Notice } from './store.ts';

/** What must not be missed, wherever the page is scrolled to: no connection, no recording, refusals of what was asked. */
export function Banners() {
  const texts = useTexts();
  const connection = usePage((state) => state.connection);
  const role = usePage((state) => state.role);
  const notice = usePage((state) => state.notice);
  const trouble = useView()?.recording.trouble ?? null;
  return (
    <>
      <div class="banners" role="status">
        {connection !== 'open' && <p class="banner banner-warn">▲ {texts.connection[connection]}</p>}
        {trouble !== null && (
          <p class="banner banner-stop">
            ■ {texts.link.recordingTrouble}: {texts.localise(trouble)}
          </p>
        )}
        {notice !== null && <NoticeBanner key={notice.id} notice={notice} />}
      </div>
      {connection === 'open' && role === 'watch' && <p class="banner">○ {texts.connection.watching}</p>}
    </>
  );
}

function NoticeBanner({ notice }: { notice: Notice }) {
  const texts = useTexts();
  const { store } = useApp();
  return (
    <p class="banner banner-warn banner-notice">
      <span>▲ {noticeText(texts, notice.text)}</span>
      <button type="button" onClick={() => store.dismiss()}>
        {texts.dismiss}
      </button>
    </p>
  );
}

function noticeText(texts: Texts, text: Notice['text']): string {
  if (typeof text === 'string') return text;
  return typeof text === 'function' ? text(texts) : texts.localise(text);
}
