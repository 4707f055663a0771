/** The versions of MQTT that the link speaks. */
export type Protocol = '5' | '3.1.1';
export type ProtocolSetting = 'auto' | Protocol;

/** How one attempt to connect ended, as far as the choice of version goes. */
export type ProtocolAnswer =
  | 'accepted'
  | 'unsupported' // the broker said that it does not speak this version
  | 'dropped' // it closed the connection without an answer to CONNECT
  | 'other'; // unreachable, refused for another reason, or not told

export interface ProtocolChoice {
  readonly setting: ProtocolSetting;
  /** The version of the next attempt. */
  readonly next: Protocol;
  /** Whether a broker has accepted `next` since the start. */
  readonly proven: boolean;
  readonly drops: number;
}

/** One drop may be a broker that is just restarting; two speak for a broker that knows no v5. */
const DROPS_BEFORE_CHANGE = 2;

export const firstChoice = (setting: ProtocolSetting): ProtocolChoice => ({
  setting,
  next: setting === 'auto' ? '5' : setting,
  proven: false,
  drops: 0,
});

/**
 * The version to try next. Old brokers answer a version 5 CONNECT with a refusal, or just close
 * the connection (MQTT 5 §3.1.2.2, MQTT 3.1.1 §3.1.2.2). What was accepted once is kept, and left
 * only when a broker says in so many words that it does not speak it.
 */
export function chooseAfter(choice: ProtocolChoice, answer: ProtocolAnswer): ProtocolChoice {
  if (answer === 'accepted') return { ...choice, proven: true, drops: 0 };
  if (choice.setting !== 'auto' || answer === 'other') return choice;
  if (answer === 'unsupported') return changed(choice);
  if (choice.proven) return choice;
  const drops = choice.drops + 1;
  return drops >= DROPS_BEFORE_CHANGE ? changed(choice) : { ...choice, drops };
}

function changed(choice: ProtocolChoice): ProtocolChoice {
  return { ...choice, next: choice.next === '5' ? '3.1.1' : '5', proven: false, drops: 0 };
}
