import { LANGUAGES, type Language } from '../../bridge/messages/language.ts';
import type { RoomShows } from '../../bridge/serve/page-protocol.ts';
import { useApp, useIsReplay, useMaySteer, usePage, useView } from '../app/app-context.ts';
import { LANGUAGE_NAMES, languageOf, useTexts } from '../texts/texts.ts';
import { readAddress, useAddress, writeAddress } from './address.ts';
import { WatchCode } from './watch-code.tsx';

export type Theme = 'auto' | 'light' | 'dark';
export const THEMES: readonly Theme[] = ['auto', 'light', 'dark'];
const TABS = ['run', 'plan', 'result', 'recordings', 'bench'] as const;
/** Of a room of benches: nothing is planned or set up there. */
const CLASS_TABS = ['class', 'run', 'result', 'recordings'] as const;

export interface Preferences {
  theme: Theme;
  setTheme: (theme: Theme) => void;
  language: Language;
  setLanguage: (language: Language) => void;
}

export function Header(preferences: Preferences) {
  const texts = useTexts();
  return (
    <header class="top">
      <button type="button" class="skip" onClick={skip}>
        {texts.skip}
      </button>
      <h1>{texts.title}</h1>
      <RunChoice />
      <Tabs />
      <Links />
      <Room />
      <Choices {...preferences} />
    </header>
  );
}

function skip(): void {
  document.getElementById('main')?.focus();
}

function RunChoice() {
  const { connection } = useApp();
  const texts = useTexts();
  const sessions = usePage((state) => state.sessions);
  const present = usePage((state) => state.session);
  const classRoom = usePage((state) => state.classRoom);
  // A bench of a class is chosen on the board.
  if (sessions.length === 0 || (present === null && classRoom !== null)) return null;
  const open = (id: string) => {
    writeAddress({ run: id });
    connection.open(id);
  };
  return (
    <label class="run-choice">
      <span class="visually-hidden">{texts.chooseRun}</span>
      <select value={present ?? ''} onChange={(event) => open(event.currentTarget.value)}>
        {sessions.map((session) => (
          <option key={session.id} value={session.id}>
            {`${session.title}, ${texts.link[session.kind]}`}
          </option>
        ))}
      </select>
    </label>
  );
}

function Tabs() {
  const texts = useTexts();
  const { tab, run } = useAddress();
  const classRoom = usePage((state) => state.classRoom);
  if (classRoom === undefined) return null;
  const tabs = classRoom === null ? TABS : CLASS_TABS;
  const present = classRoom !== null && tab === 'run' && run === null ? 'class' : tab;
  return (
    <nav class="tabs">
      {tabs.map((name) => (
        <button
          key={name}
          type="button"
          aria-current={present === name ? 'page' : undefined}
          onClick={() => writeAddress({ tab: name })}
        >
          {texts.tabs[name]}
        </button>
      ))}
    </nav>
  );
}

/** The date of a time in UTC; null where none is stated. */
const dayOf = (utc: unknown): string | null => (typeof utc === 'string' ? utc.slice(0, 10) : null);

/** The state of the board's link and of the recording, each with a sign of its own. */
function Links() {
  const texts = useTexts();
  const view = useView();
  const isReplay = useIsReplay();
  const title = usePage((state) => state.sessions.find(({ id }) => id === state.session)?.title);
  if (view === null) return <p class="links" />;
  if (isReplay) return <p class="links">{texts.link.replayOf(title ?? '', dayOf(view.about?.startedUtc))}</p>;
  const link = view.linkUp === false ? 'down' : view.board === null ? 'unknown' : 'up';
  const text =
    link === 'up'
      ? texts.link.up(view.board?.name ?? '')
      : link === 'down'
        ? texts.link.down
        : texts.link.unknown;
  const { file } = view.recording;
  return (
    <p class="links">
      <span class={`link-state link-${link}`} data-testid="link">
        <span aria-hidden="true">{{ up: '●', down: '✕', unknown: '○' }[link]}</span> {text}
      </span>
      <span class="quiet">{file === null ? texts.link.notRecorded : texts.link.recordingTo(file)}</span>
    </p>
  );
}

const isShown = (value: string, texts: Record<RoomShows, string>): value is RoomShows =>
  Object.hasOwn(texts, value);

/** Opens the view for the room in a window of its own, and chooses what it shows. */
function Room() {
  const { connection } = useApp();
  const texts = useTexts();
  const maySteer = useMaySteer();
  const shows = usePage((state) => state.room);
  const watchLink = usePage((state) => state.watchLink);
  const { run } = useAddress();
  const isBoard = usePage((state) => state.session === null && typeof state.classRoom === 'string');
  if (isBoard) return null;
  // The projector's window gets the token that watches, never the one that steers.
  const token = watchLink === null ? '' : readAddress(new URL(watchLink.url).hash).token;
  const fragment = new URLSearchParams({ ...(run !== null && { run }), ...(token !== '' && { token }) });
  const choose = (value: string) => {
    if (isShown(value, texts.show.sees)) connection.send({ type: 'room', shows: value });
  };
  return (
    <p class="room">
      <a class="room-link" href={`/show#${fragment}`} target="_blank" rel="noreferrer">
        {texts.show.open}
      </a>
      {watchLink !== null && <WatchCode link={watchLink} />}
      {maySteer && (
        <label>
          <span class="visually-hidden">{texts.show.seesLabel}</span>
          <select value={shows} onChange={(event) => choose(event.currentTarget.value)}>
            {Object.entries(texts.show.sees).map(([one, text]) => (
              <option key={one} value={one}>
                {text}
              </option>
            ))}
          </select>
        </label>
      )}
    </p>
  );
}

function Choices({ theme, setTheme, language, setLanguage }: Preferences) {
  const texts = useTexts();
  return (
    <div class="preferences">
      <label>
        <span class="visually-hidden">{texts.language}</span>
        <select
          value={language}
          onChange={(event) => setLanguage(languageOf(event.currentTarget.value) ?? 'en')}
        >
          {LANGUAGES.map((code) => (
            <option key={code} value={code} lang={code}>
              {LANGUAGE_NAMES[code]}
            </option>
          ))}
        </select>
      </label>
      <label>
        <span class="visually-hidden">{texts.theme.label}</span>
        <select
          value={theme}
          onChange={(event) => setTheme(THEMES.find((one) => one === event.currentTarget.value) ?? 'auto')}
        >
          {THEMES.map((one) => (
            <option key={one} value={one}>
              {texts.theme[one]}
            </option>
          ))}
        </select>
      </label>
    </div>
  );
}
