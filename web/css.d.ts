/** Styles that Vite loads with the part of the page that imports them. */
declare module '*.css';
