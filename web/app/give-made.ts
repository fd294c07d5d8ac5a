/** A document that the bridge has made for somebody. */
interface Made {
  text: string;
  type: string;
  name: string;
}

/**
 * Gives a document when it is made: in a window of its own, or as a file.
 * @param waiting what the window shows until then; false where a file is wanted
 */
export async function giveMade(make: () => Promise<Made | null>, waiting: string | false): Promise<void> {
  // Opened before the answer is there, or the browser takes it for a window that nobody asked for.
  const opened = waiting === false ? null : window.open('');
  if (waiting !== false) opened?.document.body.append(waiting);
  const made = await make();
  if (made === null) return opened?.close();
  const url = URL.createObjectURL(new Blob([made.text], { type: `${made.type};charset=utf-8` }));
  if (opened === null) save(url, made.name);
  else opened.location.href = url;
}

function save(url: string, name: string): void {
  const link = document.createElement('a');
  link.href = url;
  link.download = name;
  link.click();
  // The browser has read it by then.
  setTimeout(() => URL.revokeObjectURL(url), 60_000);
}
