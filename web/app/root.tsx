import { useEffect } from 'preact/hooks';
import { RunPage } from '../run/run-page.tsx';
import { type Language, LanguageContext, preferredLanguage } from '../texts/texts.ts';
import { type App, AppContext } from './app-context.ts';
import { Banners } from './banners.tsx';
import { Header, THEMES, type Theme } from './header.tsx';
import { usePreference } from './preferences.ts';

const LANGUAGES: readonly Language[] = ['en', 'es'];

export function Root({ app }: { app: App }) {
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
        <Header theme={theme} setTheme={setTheme} language={language} setLanguage={setLanguage} />
        <Banners />
        <main id="main" tabIndex={-1}>
          <RunPage />
        </main>
      </LanguageContext.Provider>
    </AppContext.Provider>
  );
}
