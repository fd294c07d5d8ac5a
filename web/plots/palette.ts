/** Colours of the plots, read from the style sheet so that light and dark have one home. */
export interface Palette {
  ink: string;
  quiet: string;
  line: string;
  surface: string;
  cells: [string, string, string, string];
  fit: string;
  font: string;
}

export function readPalette(element: Element): Palette {
  const style = getComputedStyle(element);
  const colour = (name: string) => style.getPropertyValue(name).trim();
  const other = colour('--quiet');
  return {
    ink: colour('--ink'),
    quiet: other,
    line: colour('--line'),
    surface: colour('--surface'),
    cells: [other, colour('--cell-1'), colour('--cell-2'), other],
    fit: colour('--fit'),
    font: style.font,
  };
}

/** Calls back whenever light turns to dark or back. Returns the way to stop. */
export function onThemeChange(callback: () => void): () => void {
  const media = matchMedia('(prefers-color-scheme: dark)');
  const observer = new MutationObserver(callback);
  observer.observe(document.documentElement, { attributes: true, attributeFilter: ['data-theme'] });
  media.addEventListener('change', callback);
  return () => {
    observer.disconnect();
    media.removeEventListener('change', callback);
  };
}
