import { createContext } from 'preact';
import { useContext } from 'preact/hooks';
import type { Language } from '../../messages/language.ts';
import { en, type RecordTexts } from './texts/en.ts';
import { es } from './texts/es.ts';

/** A new language is added here; the compiler says which of its texts are missing. */
export const RECORD_TEXTS: Readonly<Record<Language, RecordTexts>> = { en, es };

export const LanguageContext = createContext<Language>('en');

/** The texts of the language that a page is printed in. */
export const useTexts = (): RecordTexts => RECORD_TEXTS[useContext(LanguageContext)];
