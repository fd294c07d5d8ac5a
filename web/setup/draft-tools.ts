import { useRef, useState } from 'preact/hooks';
import { BLANK, type Draft, withValue } from './draft.ts';
import { type SetUp, useSetUp } from './set-up.ts';

export interface DraftTools {
  draft: Draft;
  /** Puts one value in; undefined takes it out. */
  set: (path: string, value: unknown) => void;
  /** Describes another bench, from now on under the name `file`; what was described can be had back. */
  replace: (draft: Draft, file: string) => void;
  /** Back to what was described before; null where there is nothing. */
  takeBack: (() => void) | null;
  file: string;
  setFile: (file: string) => void;
  /** The file of that name holds the draft as it stands. */
  saved: boolean;
  markSaved: (file: string) => void;
  /** Paths that the bridge has found faulty, until they are typed anew. */
  faulty: ReadonlySet<string>;
  setFaulty: (paths: readonly string[]) => void;
  /** Under which name people see the field of a path; each field on the page writes its own. */
  fieldNames: Map<string, string>;
}

export function useDraft(): DraftTools {
  const { setUp, change } = useSetUp();
  const [faulty, setFaulty] = useState<ReadonlySet<string>>(new Set());
  const fieldNames = useRef(new Map<string, string>());
  const { draft, file, saved, before } = setUp;
  return {
    draft,
    set: (path, value) => {
      setFaulty((present) => new Set([...present].filter((one) => one !== path)));
      change((present) => ({ draft: withValue(present.draft, path, value) }));
    },
    replace: (next, name) => {
      setFaulty(new Set());
      change((present) => ({
        draft: next,
        file: name,
        saved: name === '' ? '' : JSON.stringify(next),
        before: isBlank(present.draft) ? present.before : described(present),
      }));
    },
    takeBack: before === null ? null : () => change((present) => ({ ...before, before: described(present) })),
    file,
    setFile: (name) => change(() => ({ file: name, saved: '' })),
    saved: file !== '' && saved === JSON.stringify(draft),
    markSaved: (name) => change(() => ({ file: name, saved: JSON.stringify(draft) })),
    faulty,
    setFaulty: (paths) => setFaulty(new Set(paths)),
    fieldNames: fieldNames.current,
  };
}

const described = ({ draft, file, saved }: SetUp) => ({ draft, file, saved });

const isBlank = (draft: Draft): boolean => JSON.stringify(draft) === JSON.stringify(BLANK);
