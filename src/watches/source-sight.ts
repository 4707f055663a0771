import { HOUR, type Instant, MINUTE } from '../units/index.ts';
import { createGaps, type Gaps, learnGap } from './gaps.ts';

/** What is known of any source's voice, plug or probe. */
export interface SourceSight {
  readonly id: string;
  /** The time of its newest live reading. */
  heard: Instant | undefined;
  /** What its availability topic or last will said last, and when. */
  presence: 'on' | 'gone' | undefined;
  presenceAt: Instant | undefined;
  readonly gaps: Gaps;
  /** False when the next gap tells nothing: after a start, or when the broker was away. */
  inTouch: boolean;
  /** Changed since it was last handed out to be saved. */
  unsaved: boolean;
}

export const createSource = (id: string): SourceSight => ({
  id,
  heard: undefined,
  presence: undefined,
  presenceAt: undefined,
  gaps: createGaps(),
  inTouch: false,
  unsaved: false,
});

/** What is known of a plug, whatever hangs on it. */
export interface PlugSight extends SourceSight {
  /** W. */
  power: number | undefined;
  powerAt: Instant | undefined;
  /** Of the mains, V; undefined where it does not tell, or tells what no mains has. */
  volts: number | undefined;
  voltsAt: Instant | undefined;
}

export const createPlugSight = (id: string): PlugSight => ({
  ...createSource(id),
  power: undefined,
  powerAt: undefined,
  volts: undefined,
  voltsAt: undefined,
});

/** Mains of 100 to 240 V, low and high as a fault may make them; a switched-off plug may say 0. */
const MAINS = { min: 70, max: 300 };

export function noteVolts(plug: PlugSight, volts: number, at: Instant): void {
  plug.volts = volts >= MAINS.min && volts <= MAINS.max ? volts : undefined;
  plug.voltsAt = at;
}

/** Voltage that was told longer ago says nothing of now. */
const VOLTS_LAST = 15 * MINUTE;

/** The mains voltage at a plug, V; undefined where it is not known now. */
export const voltsNow = ({ volts, voltsAt }: PlugSight, now: Instant): number | undefined =>
  voltsAt !== undefined && now - voltsAt <= VOLTS_LAST ? volts : undefined;

/**
 * Whether a reading is news. One older than the last is not, unless the machine's clock has been
 * set back: then what was dated in the future is given up.
 */
export function isNews(source: SourceSight, at: Instant, arrived: Instant): boolean {
  if (source.heard === undefined || at >= source.heard) return true;
  return arrived < source.heard - HOUR;
}

/** Notes that the source has spoken, and how long it had been silent. */
export function noteVoice(source: SourceSight, at: Instant): void {
  if (source.inTouch && source.heard !== undefined) learnGap(source.gaps, at - source.heard, at);
  source.heard = at;
  source.inTouch = true;
  source.unsaved = true;
  // Some plugs never say that they are back.
  if (source.presence === 'gone' && at > (source.presenceAt ?? at)) {
    source.presence = 'on';
    source.presenceAt = at;
  }
}

export function notePresence(source: SourceSight, on: boolean, at: Instant): void {
  if (source.presenceAt !== undefined && at < source.presenceAt) return;
  source.presence = on ? 'on' : 'gone';
  source.presenceAt = at;
  source.unsaved = true;
  if (!on) source.inTouch = false;
}
