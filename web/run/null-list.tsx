import { plusMinus, roundTogether } from '../../bridge/calc-core/rounding.ts';
import type { NullView } from '../../bridge/serve/page-protocol.ts';
import { useMayRecord, useRecordEvent, useView } from '../app/app-context.ts';
import { Same } from '../app/same.tsx';
import { useTexts } from '../texts/texts.ts';
import { AssignForm } from './assign-form.tsx';
import { NullPicture } from './null-picture.tsx';
import { byEye, CellMark, cellText, loadText } from './readout.tsx';
import { RejectForm } from './reject-form.tsx';

/** Which null's form is open. */
export interface OpenForm {
  id: string;
  form: 'reject' | 'assign';
}

interface Forms {
  open: OpenForm | null;
  setOpen: (open: OpenForm | null) => void;
}

/** Every null with its picture, set by set, newest first; rejected ones stay in the list. */
export function NullList({ open, setOpen }: Forms) {
  const view = useView();
  const texts = useTexts();
  if (view === null) return null;
  const newest = view.nulls.at(-1);
  const openSet = view.nulls.find((found) => found.id === open?.id)?.set;
  return (
    <section class="panel">
      <h2>{texts.nulls.heading}</h2>
      <p class="visually-hidden" aria-live="polite" data-testid="null-news">
        {newest === undefined ? '' : texts.nulls.found(newest.id, lengthWithUncertainty(newest))}
      </p>
      {view.nulls.length === 0 && (
        <p class="quiet">{byEye(view) ? texts.nulls.noneByEye : texts.nulls.none}</p>
      )}
      {setsOf(view.nulls).map((set) => (
        <details key={set ?? 'none'} class="null-set" open={set === newest?.set || set === openSet}>
          <summary>
            <h3 class="summary-heading">
              {texts.labels.set} {set ?? '–'}
            </h3>
          </summary>
          <ul class="nulls">
            {view.nulls
              .filter((found) => found.set === set)
              .toReversed()
              .map((found) => (
                <NullCard key={found.id} found={found} open={open} setOpen={setOpen} />
              ))}
          </ul>
        </details>
      ))}
    </section>
  );
}

/** Sets that have nulls, the newest first. */
const setsOf = (nulls: readonly NullView[]): (number | null)[] =>
  [...new Set(nulls.map((found) => found.set))].sort((a, b) => (b ?? 0) - (a ?? 0));

function lengthWithUncertainty(found: NullView): string {
  return plusMinus(found.lengthCm ?? found.scaleCm, found.uCm, 'cm');
}

function NullCard({ found, ...forms }: { found: NullView } & Forms) {
  const texts = useTexts();
  const status = found.rejected !== null ? texts.nulls.rejected(found.rejected) : statusOf(texts, found);
  return (
    <li
      class={`null-card cell-${found.cell ?? 0} ${found.used ? '' : 'unused'} ${found.rejected === null ? '' : 'rejected'}`}
      data-null={found.id}
    >
      <Same of={found} draw={(one) => <NullPicture found={one} />} />
      <div class="null-text">
        <p class="null-length">
          <CellMark cell={found.cell} /> <b>{found.id}</b> {lengthWithUncertainty(found)}
        </p>
        <p class="quiet">
          {[
            `${texts.labels.set} ${found.set ?? '–'}`,
            cellText(texts, found.cell),
            texts.readout.rowAndScale(
              String(found.row ?? '–'),
              roundTogether(found.scaleCm, found.uCm).value,
            ),
            texts.nulls.by[found.by],
            found.fine ? texts.nulls.fine : texts.nulls.coarse,
            loadText(texts, found),
            broughtText(texts, found),
            status,
          ]
            .filter((word) => word !== '')
            .join(' · ')}
        </p>
        <NullActions found={found} {...forms} />
      </div>
    </li>
  );
}

/** Empty where it is the length that was read, to the digits shown. */
function broughtText(texts: ReturnType<typeof useTexts>, { lengthCm, broughtCm, uCm }: NullView): string {
  const [read, brought] = [lengthCm, broughtCm].map((cm) => roundTogether(cm, uCm).value);
  return broughtCm === null || brought === read ? '' : texts.nulls.brought(`${brought} cm`);
}

const statusOf = (texts: ReturnType<typeof useTexts>, found: NullView): string =>
  found.used
    ? texts.nulls.used
    : `${texts.nulls.notUsed}${found.whyNot === null ? '' : `: ${texts.localise(found.whyNot)}`}`;

function NullActions({ found, open, setOpen }: { found: NullView } & Forms) {
  const texts = useTexts();
  const recordEvent = useRecordEvent();
  const mayRecord = useMayRecord();
  const close = () => setOpen(null);
  const form = open?.id === found.id ? open.form : null;
  if (!mayRecord) return null;
  if (form === 'reject') return <RejectForm id={found.id} close={close} />;
  if (form === 'assign') return <AssignForm found={found} close={close} />;
  return (
    <p class="null-actions">
      {found.rejected === null ? (
        <button
          type="button"
          onClick={() => setOpen({ id: found.id, form: 'reject' })}
          aria-label={`${texts.nulls.reject} ${found.id}`}
        >
          {texts.nulls.reject}
        </button>
      ) : (
        <button
          type="button"
          onClick={() => recordEvent({ kind: 'restore', null: found.id })}
          aria-label={`${texts.nulls.restore} ${found.id}`}
        >
          {texts.nulls.restore}
        </button>
      )}
      <button
        type="button"
        onClick={() => setOpen({ id: found.id, form: 'assign' })}
        aria-label={`${texts.nulls.assign} ${found.id}`}
      >
        {texts.nulls.assign}
      </button>
    </p>
  );
}
