import { useState } from 'preact/hooks';
import { fixed, significant } from '../../bridge/calc-core/rounding.ts';
import type { Plan } from '../../bridge/serve/page-protocol.ts';
import { useSteers, useView } from '../app/app-context.ts';
import { useAsk } from '../app/ask.ts';
import { postTo } from '../app/bench-setup-client.ts';
import { TableHead } from '../app/table-head.tsx';
import { typedNumber } from '../run/typed-length.tsx';
import { useSetUp } from '../setup/set-up.ts';
import { useTexts } from '../texts/texts.ts';

const WISHES = ['least', 'most', 'driver', 'sets', 'uRead'] as const;
type Wish = (typeof WISHES)[number];

const FIRST: Record<Wish, string> = { least: '0', most: '20', driver: '0.4', sets: '4', uRead: '0.01' };

/** Before the key is closed: settings of the rheostat, where the nulls will lie, which U to expect. */
export function PlanPage() {
  const texts = useTexts();
  const view = useView();
  const ask = useAsk();
  const steers = useSteers();
  const [typed, setTyped] = useState(FIRST);
  const [plan, setPlan] = useState<Plan | null>(null);
  const { draft } = useSetUp().setUp;
  // Of a run, or of what is being described; the bridge checks it.
  const bench = view?.bench ?? (typeof draft.name === 'string' && draft.name !== '' ? draft : null);
  if (bench === null || !steers) return <p class="panel lonely">{texts.plan.needsBench}</p>;
  const numbers = WISHES.map((wish) => typedNumber(typed[wish])).filter((number) => number !== null);
  const work = async (event: Event) => {
    event.preventDefault();
    const [least, most, driverResistanceOhm, sets, uReadCm] = numbers;
    const answer = await ask(
      postTo('plan', { bench, rheostatOhm: [least, most], driverResistanceOhm, sets, uReadCm }),
    );
    setPlan(answer?.plan ?? null);
  };
  return (
    <div class="setup">
      <section class="panel setup-group">
        <h2>{texts.plan.heading}</h2>
        <p class="quiet">{texts.plan.how(String(bench.name))}</p>
        <form class="fields" onSubmit={work}>
          {WISHES.map((wish) => (
            <label class="field" key={wish}>
              <span>{texts.plan.wishes[wish]}</span>
              <input
                inputMode="decimal"
                value={typed[wish]}
                onInput={(event) => setTyped({ ...typed, [wish]: event.currentTarget.value })}
              />
            </label>
          ))}
          <button type="submit" class="main-action" disabled={numbers.length < WISHES.length}>
            {texts.plan.work}
          </button>
        </form>
      </section>
      {plan !== null && <PlanTable plan={plan} />}
    </div>
  );
}

function PlanTable({ plan }: { plan: Plan }) {
  const texts = useTexts();
  return (
    <section class="panel" data-testid="plan">
      {/* biome-ignore lint/a11y/noNoninteractiveTabindex: a region that scrolls must be reachable by keyboard */}
      <section class="scroll" tabIndex={0} aria-label={texts.plan.heading}>
        <table>
          <TableHead
            headings={[
              texts.labels.set,
              texts.plan.rheostat,
              texts.observations.driver,
              texts.observations.l1,
              texts.plan.place(1),
              texts.observations.l2,
              texts.plan.place(2),
              texts.plan.sensitivity,
            ]}
          />
          <tbody>
            {plan.sets.map((set) => (
              <tr key={set.set}>
                <th scope="row">{set.set}</th>
                <td>{fixed(set.rheostatOhm, 1)}</td>
                <td>{fixed(set.driverMa, 1)}</td>
                {[set.null1, set.null2].flatMap((found, index) => [
                  <td key={`length ${index + 1}`}>{fixed(found.lengthCm, 1)}</td>,
                  <td key={`place ${index + 1}`}>
                    {texts.readout.rowAndScale(String(found.row), fixed(found.scaleCm, 1))}
                  </td>,
                ])}
                <td>{significant(set.null1.sensitivityUaPerMm, 2)}</td>
              </tr>
            ))}
          </tbody>
        </table>
      </section>
      <p>
        {plan.expectedU === null ? '' : `${texts.plan.expected(significant(plan.expectedU, 2))} `}
        {texts.plan.heating(fixed(plan.heating.largestMa, 0), significant(plan.heating.wattsPerMetre, 2))}
      </p>
      {plan.cautions.map((caution) => (
        <p class="trouble" key={caution.text}>
          ▲ {texts.localise(caution)}
        </p>
      ))}
    </section>
  );
}
