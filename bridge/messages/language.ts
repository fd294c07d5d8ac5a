/** Languages of page and record; the sentences that the bridge puts together are in each of them. */
export const LANGUAGES = ['en', 'es'] as const;
export type Language = (typeof LANGUAGES)[number];

export const isLanguage = (name: string): name is Language => LANGUAGES.some((language) => language === name);
