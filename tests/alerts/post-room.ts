import {
  type AlertMemory,
  acknowledge,
  announce,
  beginTending,
  DEFAULT_POLICY,
  type Decision,
  EMPTY_MEMORY,
  endTending,
  type Judgment,
  judge,
  type Look,
  type Recipient,
  readMemory,
  retire,
  snooze,
  type Telling,
  type TellingRules,
  tellingRules,
} from '../../src/alerts/index.ts';
import { Calendar, type Instant, later, MINUTE } from '../../src/units/index.ts';
import { NIGHT } from './looks.ts';

export const PHONE: Recipient = { name: 'phone', takes: 'messages' };
export const calendar = new Calendar('America/Winnipeg');
/** NIGHT is 03:14 there; quiet until 07:00 is until minute 226. */
export const QUIET = { from: '22:00', to: '07:00' };
export const QUIET_OVER = 226;

export const rulesOf = (changes: Partial<Parameters<typeof tellingRules>[0]> = {}): TellingRules =>
  tellingRules({ quiet_hours: undefined, repeat_min: 15, gather_s: 0, ...changes });

export const through = (memory: AlertMemory): AlertMemory =>
  readMemory(JSON.parse(JSON.stringify(memory)));

/** The daemon's part around the pure decisions: keeps memory, and writes down what was told. */
export function postRoom(
  options: {
    recipients?: readonly Recipient[];
    rules?: TellingRules;
    memory?: AlertMemory;
    restarts?: () => boolean;
  } = {},
) {
  const { recipients = [PHONE], rules = rulesOf(), restarts = () => false } = options;
  let memory = options.memory ?? EMPTY_MEMORY;
  const tellings: { at: number; telling: Telling }[] = [];
  const decisions: (Decision & { at: number })[] = [];

  function take(minute: number, judged: Pick<Judgment, 'memory' | 'news'>): void {
    const now = at(minute);
    const said = announce(judged.memory, judged.news, { recipients, rules, calendar, now });
    memory = restarts() ? through(said.memory) : said.memory;
    tellings.push(...said.tell.map((telling) => ({ at: minute, telling })));
    decisions.push(...said.decisions.map((decision) => ({ ...decision, at: minute })));
  }

  return {
    look: (minute: number, ...looks: Look[]) =>
      take(minute, judge(memory, looks, at(minute), DEFAULT_POLICY)),
    acknowledge: (minute: number, id: string) => take(minute, acknowledge(memory, id, at(minute))),
    snooze: (minute: number, id: string, until: number) =>
      take(minute, snooze(memory, id, at(until), at(minute))),
    retire: (minute: number) =>
      take(
        minute,
        retire(memory, () => false, at(minute)),
      ),
    tend: (minute: number, tank: string, until: number) => {
      memory = beginTending(memory, tank, at(until), at(minute), 'page');
    },
    done: (minute: number, tank: string) => {
      memory = endTending(memory, tank, at(minute));
    },
    get memory() {
      return memory;
    },
    tellings,
    decisions,
    /** 'MINUTE CHANGE SUBJECT+SUBJECT (N settled) > CHANNEL,CHANNEL' of everything told. */
    get told(): string[] {
      return tellings.map(({ at: minute, telling }) => {
        const { change, alert, also, to = [], settled = [] } = telling;
        const counted = new Set(settled.map(({ id }) => id));
        const names = [alert, ...also].filter(({ id }) => !counted.has(id));
        const more = settled.length > 0 ? ` (${settled.length} settled)` : '';
        const listed = names.map(({ subject }) => subject.id).join('+');
        return `${minute} ${change} ${listed}${more} > ${to.join(',')}`;
      });
    },
  };
}

export const at = (minute: number): Instant => later(NIGHT, minute * MINUTE);
