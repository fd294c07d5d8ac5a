import { useTexts } from '../texts/texts.ts';
import { usePage, useView } from './app-context.ts';

/** What must not be missed: no connection, no recording, and refusals of what was asked. */
export function Banners() {
  const texts = useTexts();
  const connection = usePage((state) => state.connection);
  const role = usePage((state) => state.role);
  const notice = usePage((state) => state.notice);
  const trouble = useView()?.recording.trouble ?? null;
  return (
    <div class="banners" role="status">
      {connection !== 'open' && <p class="banner banner-warn">▲ {texts.connection[connection]}</p>}
      {trouble !== null && (
        <p class="banner banner-stop">
          ■ {texts.link.recordingTrouble}: {texts.said(trouble)}
        </p>
      )}
      {connection === 'open' && role === 'watch' && <p class="banner">○ {texts.connection.watching}</p>}
      {notice !== null && (
        <p class="banner banner-warn" key={notice.id}>
          ▲ {typeof notice.words === 'string' ? notice.words : texts.said(notice.words)}
        </p>
      )}
    </div>
  );
}
