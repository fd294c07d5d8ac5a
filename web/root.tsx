import type { ComponentType } from 'preact';
import { useEffect, useMemo, useState } from 'preact/hooks';
import { LANGUAGES } from '../bridge/messages/language.ts';
import { useAddress } from './app/address.ts';
import { type App, AppContext, useApp, usePage } from './app/app-context.ts';
import { Banners } from './app/banners.tsx';
import { Header, THEMES, type Theme } from './app/header.tsx';
import { usePreference } from './app/preferences.ts';
import { PlanPage } from './plan/plan-page.tsx';
import { RecordingsPage } from './recordings/recordings-page.tsx';
import { ResultPage } from './result/result-page.tsx';
import { RunPage } from './run/run-page.tsx';
import { BenchPage } from './setup/bench-page.tsx';
import { openSetUp, SetUpContext } from './setup/set-up.ts';
import { ShowPage } from './show/show-page.tsx';
import { preferredLanguage, TextsContext, useLoadedTexts } from './texts/texts.ts';

export function Root({ app, show }: { app: App; show: boolean }) {
  const [theme, setTheme] = usePreference<Theme>('theme', 'auto', THEMES);
  const [language, setLanguage] = usePreference(
    'language',
    preferredLanguage(navigator.languages),
    LANGUAGES,
  );
  const setUp = useMemo(openSetUp, []);
  useEffect(() => {
    document.documentElement.dataset.theme = theme;
  }, [theme]);
  const texts = useLoadedTexts(language);
  if (texts === null) return null;
  return (
    <AppContext.Provider value={app}>
      <TextsContext.Provider value={texts}>
        {show ? (
          <ShowPage />
        ) : (
          <>
            <Header theme={theme} setTheme={setTheme} language={language} setLanguage={setLanguage} />
            <Banners />
            <main id="main" tabIndex={-1}>
              <SetUpContext.Provider value={setUp}>
                <TabPage />
              </SetUpContext.Provider>
            </main>
          </>
        )}
      </TextsContext.Provider>
    </AppContext.Provider>
  );
}

/** Loaded by the page of a room alone: no bench has use for it. */
function ClassBoard() {
  const [Page, setPage] = useState<ComponentType | null>(null);
  useEffect(() => {
    void import('./board/board-page.tsx').then(({ BoardPage }) => setPage(() => BoardPage));
  }, []);
  return Page === null ? null : <Page />;
}

function TabPage() {
  const { tab, run } = useAddress();
  const { store } = useApp();
  const classRoom = usePage((state) => state.classRoom);
  // Another page of the tabs begins at its top, and what was refused on the one before is past.
  useEffect(() => {
    scrollTo(0, 0);
    store.dismiss();
  }, [tab]);
  if (tab === 'plan') return <PlanPage />;
  if (tab === 'result') return <ResultPage />;
  if (tab === 'recordings') return <RecordingsPage />;
  if (tab === 'bench') return <BenchPage />;
  // A room opens at its board; a run that is looked on at stands in the address.
  if (tab === 'class' || (typeof classRoom === 'string' && run === null)) return <ClassBoard />;
  return <RunPage />;
}
