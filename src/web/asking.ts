/** What a keeper asks for on the page; the words are those that programs use over MQTT. */
export type PageRequest =
  | { readonly do: 'acknowledge'; readonly alert: string }
  | { readonly do: 'snooze'; readonly alert: string; readonly minutes: number }
  | { readonly do: 'begin-tending'; readonly tank: string; readonly minutes: number }
  | { readonly do: 'end-tending'; readonly tank: string };

/** What became of it, in words. When it was done, it is on the disk. */
export interface PageAnswer {
  readonly done: boolean;
  readonly words: string;
  /** The code of the error that refused it. */
  readonly code?: string;
}

/** For how long the page offers to snooze: minutes, or until the morning. */
export const SNOOZES = ['30', '120', 'morning'] as const;
type Snooze = (typeof SNOOZES)[number];

/** A tending takes whole minutes, up to eight hours. */
export const LONGEST_TENDING_MIN = 480;

/** The fields of each form, besides what is done and the token. */
const FIELDS = {
  acknowledge: ['alert'],
  snooze: ['alert', 'for'],
  'begin-tending': ['tank', 'minutes'],
  'end-tending': ['tank'],
} as const;

/**
 * Reads a form that was sent; a text says what is wrong with it.
 * @param untilMorning minutes from now until a snooze ends that lasts until the morning
 */
export function readForm(form: URLSearchParams, untilMorning: () => number): PageRequest | string {
  const doing = form.get('do') ?? '';
  if (!Object.hasOwn(FIELDS, doing)) return 'The form does not say what is to be done.';
  const wanted = ['do', 'token', ...FIELDS[doing as PageRequest['do']]].sort();
  if (JSON.stringify([...form.keys()].sort()) !== JSON.stringify(wanted)) {
    return `The form has fields other than ${wanted.join(', ')}, each once.`;
  }
  const field = (name: string): string => form.get(name) ?? '';
  switch (doing as PageRequest['do']) {
    case 'acknowledge':
      return { do: 'acknowledge', alert: field('alert') };
    case 'snooze': {
      const length = field('for') as Snooze;
      if (!SNOOZES.includes(length)) return `A snooze lasts one of ${SNOOZES.join(', ')}.`;
      const minutes = length === 'morning' ? untilMorning() : Number(length);
      return { do: 'snooze', alert: field('alert'), minutes };
    }
    case 'begin-tending': {
      const minutes = /^\d{1,3}$/.test(field('minutes')) ? Number(field('minutes')) : 0;
      if (minutes < 1 || minutes > LONGEST_TENDING_MIN) {
        return `A tending lasts 1 to ${LONGEST_TENDING_MIN} whole minutes.`;
      }
      return { do: 'begin-tending', tank: field('tank'), minutes };
    }
    case 'end-tending':
      return { do: 'end-tending', tank: field('tank') };
  }
}
