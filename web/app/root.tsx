import { useEffect } from 'preact/hooks';
import { PlanPage } from '../plan/plan-page.tsx';
import { RecordingsPage } from '../recordings/recordings-page.tsx';
import { ResultPage } from '../result/result-page.tsx';
import { RunPage } from '../run/run-page.tsx';
import { BenchPage } from '../setup/bench-page.tsx';
import { ShowPage } from '../show/show-page.tsx';
import { LANGUAGES, LanguageContext, preferredLanguage } from '../texts/texts.ts';
import { useAddress } from './address.ts';
import { type App, AppContext, useApp } from './app-context.ts';
import { Banners } from './banners.tsx';
import { Header, THEMES, type Theme } from './header.tsx';
import { usePreference } from './preferences.ts';

export function Root({ app, show }: { app: App; show: boolean }) {
  const [theme, setTheme] = usePreference<Theme>('theme', 'auto', THEMES);
  const [language, setLanguage] = usePreference(
    'language',
    preferredLanguage(navigator.languages),
    LANGUAGES,
  );
  useEffect(() => {
    document.documentElement.dataset.theme = theme;
  }, [theme]);
  useEffect(() => {
    document.documentElement.lang = language;
  }, [language]);
  return (
    <AppContext.Provider value={app}>
      <LanguageContext.Provider value={language}>
        {show ? (
          <ShowPage />
        ) : (
          <>
            <Header theme={theme} setTheme={setTheme} language={language} setLanguage={setLanguage} />
            <Banners />
            <main id="main" tabIndex={-1}>
              <TabPage />
            </main>
          </>
        )}
      </LanguageContext.Provider>
    </AppContext.Provider>
  );
}

function TabPage() {
  const { tab } = useAddress();
  const { store } = useApp();
  // Another page of the tabs begins at its top, and what was refused on the one before is past.
  useEffect(() => {
    scrollTo(0, 0);
    store.dismiss();
  }, [tab]);
  if (tab === 'plan') return <PlanPage />;
  if (tab === 'result') return <ResultPage />;
  if (tab === 'recordings') return <RecordingsPage />;
  if (tab === 'bench') return <BenchPage />;
  return <RunPage />;
}
