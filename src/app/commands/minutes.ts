import { CodedError } from '../../units/index.ts';

/** The minutes of an option; undefined where it is not given. */
export function minutesOf(text: string | undefined, remedy: string): number | undefined {
  if (text === undefined) return undefined;
  const minutes = Number(text);
  if (text.trim() !== '' && Number.isFinite(minutes) && minutes > 0) return minutes;
  throw new CodedError('AMP_APP_USAGE', `'${text}' is no number of minutes`, { remedy });
}
