import { sealPayload } from '../../firmware-protocol/encode.ts';
import type { Question } from './log.ts';

/** Every kind of line that a board may be sent, right and wrong ones. None changes what it does for long. */
export function questions(rateHz: number | null): Question[] {
  const who = sealPayload('?');
  const noise = Array.from({ length: 300 }, (_, index) => String.fromCharCode(33 + ((index * 37) % 90))).join(
    '',
  );
  const rate =
    rateHz === null
      ? []
      : [
          ask(
            sealPayload(`R,${Math.round(rateHz)}`),
            `R with the rate that it has (${Math.round(rateHz)} Hz)`,
            'accepted',
          ),
        ];
  return [
    ask(who, '? with its CRC', 'hello'),
    ask('?', '? as a person types it', 'hello'),
    ask('?\r', '? with a carriage return', 'hello'),
    ...rate,
    ask('R,0', 'R with a rate of nought', 'refused'),
    ask('R,65535', 'R with more than any board can do', 'refused'),
    ask('R', 'R without a rate', 'refused'),
    ask(`${who.slice(0, -4)}0000`, '? with a wrong CRC', 'refused'),
    ask('check-board', 'a command that no board knows', 'refused'),
    ask(`${noise}\n?`, '300 bytes of noise, then ?', 'hello-after-noise'),
  ];
}

const ask = (line: string, what: string, expects: Question['expects']): Question => ({ line, what, expects });
