import { useRef } from 'preact/hooks';
import type { WatchLink } from '../../bridge/serve/page-protocol.ts';
import { useTexts } from '../texts/texts.ts';

/** The link that watches as a QR code, for the telephones and tablets of the room. */
export function WatchCode({ link: { url, size, dark } }: { link: WatchLink }) {
  const texts = useTexts();
  const dialog = useRef<HTMLDialogElement>(null);
  return (
    <>
      <button type="button" onClick={() => dialog.current?.showModal()}>
        {texts.show.code}
      </button>
      <dialog class="watch-code" ref={dialog} aria-label={texts.show.code}>
        {/* Dark on light in every theme: not all readers take the reverse. */}
        <svg viewBox={`0 0 ${size} ${size}`} role="img" aria-label={url} shape-rendering="crispEdges">
          <rect width={size} height={size} fill="#fff" />
          <path d={dark} fill="#000" />
        </svg>
        <p class="watch-link">{url}</p>
        <p>{texts.show.codeWatches}</p>
        <form method="dialog">
          <button type="submit">{texts.dismiss}</button>
        </form>
      </dialog>
    </>
  );
}
