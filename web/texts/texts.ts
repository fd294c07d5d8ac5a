import { createContext } from 'preact';
import { useContext } from 'preact/hooks';
import { en, type Texts } from './en.ts';
import { es } from './es.ts';

/** A new one is added here and nowhere else; the compiler says which of its texts are missing. */
export const languages = { en, es } satisfies Record<string, Texts>;

export type Language = keyof typeof languages;

export const LANGUAGES = Object.keys(languages) as Language[];

/** The language of a tag such as `es-MX`, where there is one. */
export const languageOf = (tag: string): Language | undefined =>
  LANGUAGES.find((language) => language === tag.slice(0, 2));

export const LanguageContext = createContext<Language>('en');

/** The texts of the language in use. */
export const useTexts = (): Texts => languages[useContext(LanguageContext)];

/** The first of the reader's languages that there is. */
export const preferredLanguage = (wanted: readonly string[]): Language =>
  wanted.map(languageOf).find((language) => language !== undefined) ?? 'en';
