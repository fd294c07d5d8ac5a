import { useEffect, useState } from 'preact/hooks';

/** What the address's fragment says: the tab, the run, and the token of a link from another machine. */
export interface Address {
  tab: string;
  run: string | null;
  token: string;
}

export function readAddress(fragment = location.hash): Address {
  const given = new URLSearchParams(fragment.slice(1));
  return { tab: given.get('tab') ?? 'run', run: given.get('run'), token: given.get('token') ?? '' };
}

export function writeAddress(changes: Partial<Address>): void {
  const next = { ...readAddress(), ...changes };
  const fragment = new URLSearchParams();
  if (next.tab !== 'run') fragment.set('tab', next.tab);
  if (next.run !== null) fragment.set('run', next.run);
  if (next.token !== '') fragment.set('token', next.token);
  const text = fragment.toString();
  location.hash = text;
}

/** The address, followed as it changes. */
export function useAddress(): Address {
  const [address, setAddress] = useState(() => readAddress());
  useEffect(() => {
    const look = () => setAddress(readAddress());
    addEventListener('hashchange', look);
    return () => removeEventListener('hashchange', look);
  }, []);
  return address;
}
