import { createContext } from 'preact';
import { useContext } from 'preact/hooks';
import { en, type Texts } from './en.ts';
import { es } from './es.ts';

export type Language = 'en' | 'es';

export const languages: Record<Language, Texts> = { en, es };

export const LanguageContext = createContext<Language>('en');

/** The texts of the language in use. */
export const useTexts = (): Texts => languages[useContext(LanguageContext)];

/** The first of the reader's languages that there is. */
export function preferredLanguage(wanted: readonly string[]): Language {
  const known = wanted.map((tag) => tag.slice(0, 2)).find((tag) => tag in languages);
  return known === 'es' ? 'es' : 'en';
}
