import { CodedError, type Instant, later, MINUTE } from '../units/index.ts';
import { type Forgetful, forget, type Renewed } from './forgetting.ts';
import type { WatchLane } from './watch-lane.ts';

/** What a keeper asks of the running daemon: on the page, by command or over MQTT. */
export type KeeperRequest =
  | { readonly do: 'acknowledge'; readonly alert: string }
  | { readonly do: 'snooze'; readonly alert: string; readonly minutes: number }
  | { readonly do: 'begin-tending'; readonly tank: string; readonly minutes: number | undefined }
  | { readonly do: 'end-tending'; readonly tank: string }
  | { readonly do: 'forget'; readonly device: string }
  | { readonly do: 'forget'; readonly probe: string }
  | { readonly do: 'forget'; readonly tank: string };

/** Whether it was done, and in words what came of it. */
export interface Outcome {
  readonly done: boolean;
  readonly words: string;
  /** The code of the error that refused it. */
  readonly code?: string;
}

/** A request that has waited longer was meant for another moment. */
export const REQUEST_HOLDS = 10 * MINUTE;

const DOINGS = ['acknowledge', 'snooze', 'begin-tending', 'end-tending', 'forget'] as const;

/** Reads a request from outside; a text says what is wrong with it. */
export function readRequest(value: unknown): KeeperRequest | string {
  if (typeof value !== 'object' || value === null) return 'a request is a JSON object';
  const {
    do: doing,
    alert,
    tank,
    device,
    probe,
    minutes,
  } = value as Readonly<Record<string, unknown>>;
  if (minutes !== undefined && (typeof minutes !== 'number' || !(minutes > 0))) {
    return 'minutes is a number above 0';
  }
  switch (doing) {
    case 'acknowledge':
      return typeof alert === 'string' ? { do: doing, alert } : 'it names no alert';
    case 'snooze':
      if (typeof alert !== 'string') return 'it names no alert';
      return minutes === undefined ? 'it lacks minutes' : { do: doing, alert, minutes };
    case 'begin-tending':
      return typeof tank === 'string' ? { do: doing, tank, minutes } : 'it names no tank';
    case 'end-tending':
      return typeof tank === 'string' ? { do: doing, tank } : 'it names no tank';
    case 'forget':
      if (typeof device === 'string') return { do: doing, device };
      if (typeof probe === 'string') return { do: doing, probe };
      return typeof tank === 'string' ? { do: doing, tank } : 'it names no device, probe or tank';
    default:
      return `do is one of ${DOINGS.join(', ')}`;
  }
}

export interface Attendance extends Forgetful {
  readonly watches: WatchLane;
  readonly now: Instant;
  /** How long a tending lasts unless told, min. */
  readonly tendingMinutes: number;
  readonly hasTank: (id: string) => boolean;
  /** 'page', 'command' or 'mqtt'. */
  readonly by: string;
  /** How the answer calls the alert or the tank with this id. */
  readonly called: (id: string) => string;
  readonly clockTime: (at: Instant) => string;
}

/** Does what was asked; what cannot be done is said, and changes nothing. */
export function attend(request: KeeperRequest, at: Attendance): Outcome {
  try {
    return { done: true, words: doneWords(request, at) };
  } catch (error) {
    if (!(error instanceof CodedError)) throw error;
    const remedy = error.remedy === undefined ? '' : `; ${error.remedy}`;
    return {
      done: false,
      words: `${error.code}: ${error.message}${remedy}`,
      code: error.code,
    };
  }
}

function doneWords(request: KeeperRequest, at: Attendance): string {
  const { watches, now, hasTank, called, clockTime } = at;
  switch (request.do) {
    case 'acknowledge':
      watches.acknowledge(request.alert, now);
      return `${called(request.alert)} is acknowledged`;
    case 'snooze': {
      const until = later(now, request.minutes * MINUTE);
      watches.snooze(request.alert, until, now);
      return `${called(request.alert)} is silent until ${clockTime(until)}`;
    }
    case 'begin-tending': {
      requireTank(request.tank, hasTank);
      const until = later(now, (request.minutes ?? at.tendingMinutes) * MINUTE);
      watches.beginTending(request.tank, until, now, at.by);
      return `${called(request.tank)} is being tended until ${clockTime(until)}; too much heat is told all the same`;
    }
    case 'end-tending':
      requireTank(request.tank, hasTank);
      watches.endTending(request.tank, now);
      return `${called(request.tank)} is watched again`;
    case 'forget':
      return forget(renewedIn(request), at);
  }
}

function renewedIn(request: KeeperRequest & { readonly do: 'forget' }): Renewed {
  if ('device' in request) return { kind: 'device', id: request.device };
  return 'probe' in request
    ? { kind: 'probe', id: request.probe }
    : { kind: 'tank', id: request.tank };
}

function requireTank(id: string, hasTank: (id: string) => boolean): void {
  if (hasTank(id)) return;
  throw new CodedError('AMP_APP_TANK', `there is no tank '${id}'`, {
    remedy: 'use its id, as the configuration has it',
  });
}
