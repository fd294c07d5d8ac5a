import { createContext } from 'preact';
import { useContext, useEffect, useState } from 'preact/hooks';
import { LANGUAGES, type Language } from '../../bridge/messages/language.ts';
import type { Texts } from './en.ts';

/** Only the texts of the language in use are loaded; the compiler says which of a new one's are missing. */
const packs = {
  en: async () => (await import('./en.ts')).en,
  es: async () => (await import('./es.ts')).es,
} satisfies Record<Language, () => Promise<Texts>>;

export const LANGUAGE_NAMES: Readonly<Record<Language, string>> = { en: 'English', es: 'Español' };

/** The language of a tag such as `es-MX`, where there is one. */
export const languageOf = (tag: string): Language | undefined =>
  LANGUAGES.find((language) => language === tag.slice(0, 2));

export const TextsContext = createContext<Texts | null>(null);

/** The texts of the language in use. */
export function useTexts(): Texts {
  const texts = useContext(TextsContext);
  if (texts === null) throw new Error('no language has been loaded');
  return texts;
}

/** The texts of a language; while they are on their way those of the language before, null at first. */
export function useLoadedTexts(language: Language): Texts | null {
  const [texts, setTexts] = useState<Texts | null>(null);
  useEffect(() => {
    let isWanted = true;
    void packs[language]().then((loaded) => {
      if (!isWanted) return;
      document.documentElement.lang = language;
      setTexts(loaded);
    });
    return () => {
      isWanted = false;
    };
  }, [language]);
  return texts;
}

/** The first of the reader's languages that there is. */
export const preferredLanguage = (wanted: readonly string[]): Language =>
  wanted.map(languageOf).find((language) => language !== undefined) ?? 'en';
