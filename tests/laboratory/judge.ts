import type { Alert } from '../../src/alerts/index.ts';
import { subjectOf } from './place.ts';
import type { Trial } from './trial.ts';

/** Why an alert was opened, as far as the laboratory knows. */
export type Verdict =
  | { readonly is: 'told'; readonly trial: Trial }
  | { readonly is: 'consequence'; readonly trial: Trial }
  | { readonly is: 'true' }
  | { readonly is: 'false' };

/**
 * Holds an alert against the faults that go on, or have been mended a short while ago. `isTrue`: it
 * says what was truly so, fault or none.
 */
export function judgeAlert(
  alert: Pick<Alert, 'watch' | 'subject'>,
  trials: readonly Trial[],
  isTrue: () => boolean,
): Verdict {
  const touching = trials.filter(({ place }) => place.touched.has(subjectOf(alert)));
  const telling = touching.find(
    (trial) => trial.symptoms.tells.includes(alert.watch) && isAboutIt(alert, trial),
  );
  if (telling !== undefined && telling.mended === undefined) return { is: 'told', trial: telling };
  if (telling !== undefined) return { is: 'consequence', trial: telling };
  const cause = touching.find(({ symptoms: { tells, follows } }) =>
    [...tells, ...follows].includes(alert.watch),
  );
  if (cause !== undefined) return { is: 'consequence', trial: cause };
  return { is: isTrue() ? 'true' : 'false' };
}

/**
 * A watch of devices, plugs or probes tells of the very one; one of a tank or room of what is there.
 * Where two fight, the heater is named, whichever has slipped.
 */
function isAboutIt(alert: Pick<Alert, 'subject'>, { place, fault }: Trial): boolean {
  if (fault.kind === 'fighting-chiller') return true;
  const of = (target: string) => target.split('/')[0];
  const subject = subjectOf(alert);
  return of(subject) !== of(place.target) || subject === place.target;
}
