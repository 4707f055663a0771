import {
  type Alert,
  type AlertMemory,
  acknowledge,
  announce,
  beginTending,
  type ChannelFacts,
  createWriter,
  deliveriesFor,
  endTending,
  isSilent,
  isSnoozed,
  type Judgment,
  judge,
  liveAlerts,
  lookAtChannels,
  type Names,
  type Recipient,
  readMemory,
  retire,
  runningTendings,
  snooze,
  type Tending,
  tellingRules,
  type Writer,
} from '../alerts/index.ts';
import type { LinkState } from '../mqtt/index.ts';
import type { Reading } from '../readings/index.ts';
import type { Instant, LocalDate, Logger, Span } from '../units/index.ts';
import {
  type BlindWatch,
  blindWithout,
  createSights,
  type Forgotten,
  forgetGear,
  type GearChange,
  type GearRecord,
  gearChanges,
  inUse,
  lookAround,
  lostTouch,
  type Moment,
  planWatches,
  recordGear,
  type SavedSight,
  type Subject,
  savedSights,
  see,
  takeUnsaved,
  tankOf,
} from '../watches/index.ts';
import { alertNames } from './alert-names.ts';
import type { Group } from './group.ts';
import type { House } from './house.ts';
import { createLatest, type Latest } from './latest.ts';
import type { Memory } from './memory.ts';

/** Readings become sights; sights are looked at by the watches; what they find becomes alerts. */
export interface WatchLane {
  see(reading: Reading): void;
  /** Lets all watches look, and puts alerts and what is to be told into the group. */
  look(
    now: Instant,
    link: LinkState,
    recipients: readonly Recipient[],
    channels: readonly ChannelFacts[],
    seen: Pick<Moment, 'expectedDuty' | 'fits' | 'costs'>,
  ): void;
  /** Puts what was learned since the last call into the group. */
  save(): void;
  refit(house: House, now: Instant, recipients: readonly Recipient[]): void;
  /** Forgets what was learned of it, and says what that was. */
  forget(kind: GearChange['kind'], id: string, now: Instant): readonly Forgotten[];
  /** @throws CodedError AMP_ALERTS_NOT_OPEN */
  acknowledge(alert: string, now: Instant): void;
  /** @throws CodedError AMP_ALERTS_NOT_OPEN, AMP_ALERTS_SNOOZE */
  snooze(alert: string, until: Instant, now: Instant): void;
  /** @throws CodedError AMP_ALERTS_TENDING */
  beginTending(tank: string, until: Instant, now: Instant, by: string): void;
  endTending(tank: string, now: Instant): void;
  /** Those that run, the first to end first. */
  tendings(now: Instant): Tending[];
  /** By the id of an alert, until when it is snoozed. */
  snoozes(now: Instant): ReadonlyMap<string, Instant>;
  /** Open and acknowledged alerts, the worst first. */
  alerts(): Alert[];
  readonly latest: Latest;
  readonly writer: Writer;
}

const RANK = { critical: 0, warning: 1, notice: 2 } as const;

export function createWatchLane(
  start: House,
  memory: Memory,
  group: Group,
  logger: Logger,
  now: Instant,
): WatchLane {
  let house = start;
  let today = start.calendar.day(now);
  let plan = planWatches(house.config, dateOf(today, house));
  let sights = createSights(plan, savedIn(memory));
  let alertMemory: AlertMemory = readMemory(memory.read('alerts').get('memory'));
  /** What the writer asks of the plan and the memory that are in force when it writes. */
  const blindNow = (silent: readonly Subject[]): BlindWatch[] =>
    blindWithout(plan, silent, (source) => isSilent(alertMemory, source));
  let writer = writerOf(house, dateOf(today, house), blindNow);
  const states = new Map<string, unknown>(
    [...memory.read('watches')].map(([key, saved]) => [key, (saved as { state: unknown }).state]),
  );
  const latest = createLatest(() => house);
  let connected = true;
  let recipients: readonly Recipient[] = [];
  let gear = memory.read('app').get('gear') as GearRecord | undefined;
  /** Since the last plan it was looked whether gear is as it was when things were learned of it. */
  let gearKnown = false;

  function take({ memory: judged, changed, news, steps }: Judgment, now: Instant): void {
    const { memory: next, tell } = announce(judged, news, {
      recipients,
      rules: tellingRules(house.config.alerts),
      calendar: house.calendar,
      now,
    });
    remember(next);
    group.tell(changed, deliveriesFor(tell, recipients, writer, now));
    for (const step of steps) {
      if (step.to !== 'pending' && step.to !== 'quiet') logger.warn({ ...step }, 'an alert moved');
      else logger.debug({ ...step }, 'an alert moved');
    }
  }

  /** Goes on with what is watched in this house today. */
  function replan(next: House, now: Instant): void {
    const known = savedSights(sights);
    house = next;
    today = house.calendar.day(now);
    plan = planWatches(house.config, dateOf(today, house));
    sights = createSights(plan, known);
    writer = writerOf(house, dateOf(today, house), blindNow);
    gearKnown = false;
  }

  function knowGear(now: Instant): void {
    gearKnown = true;
    const before = gear;
    gear = recordGear(house.config, dateOf(today, house), before);
    const changes = before === undefined ? [] : gearChanges(before, gear);
    if (JSON.stringify(gear) !== JSON.stringify(before)) group.save('app', 'gear', gear);
    for (const change of changes) {
      const forgotten = forget(change, now);
      logger.info({ ...change, forgotten }, 'gear is another: what was learned of it is forgotten');
    }
  }

  function forget(change: GearChange, now: Instant): readonly Forgotten[] {
    const { forgotten, states: after, blind } = forgetGear(sights, states, change);
    for (const [key, state] of after) {
      if (state === undefined) states.delete(key);
      else states.set(key, state);
      group.save('watches', key, state === undefined ? null : { state });
    }
    save();
    const isOver = ({ watch, subject }: Alert): boolean =>
      blind.some((it) => it.watch === watch && it.id === subject.id);
    take(
      retire(alertMemory, (alert) => !isOver(alert), now),
      now,
    );
    return forgotten;
  }

  function save(): void {
    for (const { key, sight } of takeUnsaved(sights)) group.save('heat', key, { ...sight });
  }

  /** Devices move, and go out of use, at a midnight; on most days none does. */
  function turnTo(now: Instant): void {
    const before = servingOn(dateOf(today, house), house);
    const day = house.calendar.day(now);
    if (servingOn(dateOf(day, house), house) === before) today = day;
    else replan(house, now);
  }

  function remember(next: AlertMemory): void {
    if (next !== alertMemory) group.save('alerts', 'memory', next);
    alertMemory = next;
  }

  return {
    see(reading) {
      see(sights, reading);
      latest.take(reading);
    },

    look(now, link, to, channels, seen) {
      recipients = to;
      const isConnected = link.connection === 'connected';
      if (connected && !isConnected) lostTouch(sights);
      connected = isConnected;
      if (now >= today.to || now < today.from) turnTo(now);
      if (!gearKnown) knowGear(now);
      const looks = lookAround(plan, sights, states, {
        now,
        connectedSince: isConnected ? link.since : undefined,
        ...seen,
      });
      for (const { key, state, changed } of looks) {
        if (!changed) continue;
        states.set(key, state);
        group.save('watches', key, { state });
      }
      latest.heed(looks);
      const all = [...looks, ...lookAtChannels(channels, now)];
      take(judge(alertMemory, all, now), now);
    },

    save,

    refit(next, now, to) {
      recipients = to;
      replan(next, now);
      knowGear(now);
      take(retire(alertMemory, isWatchedIn(house, to), now), now);
    },

    forget: (kind, id, now) =>
      forget(kind === 'device' ? { kind, id, change: 'replaced' } : { kind, id }, now),
    acknowledge: (alert, now) => take(acknowledge(alertMemory, alert, now), now),
    snooze: (alert, until, now) => take(snooze(alertMemory, alert, until, now), now),
    beginTending: (tank, until, now, by) =>
      remember(beginTending(alertMemory, tank, until, now, by)),
    endTending: (tank, now) => remember(endTending(alertMemory, tank, now)),
    tendings: (now) => runningTendings(alertMemory, now),
    snoozes: (now) =>
      new Map(
        Object.values(alertMemory.troubles)
          .filter((trouble) => isSnoozed(trouble, now))
          .map(({ alert, snoozedUntil }) => [alert.id, snoozedUntil as Instant]),
      ),

    alerts: () =>
      liveAlerts(alertMemory)
        .filter((alert) => alert.state !== 'pending')
        .sort((a, b) => RANK[a.severity] - RANK[b.severity]),
    latest,
    get writer() {
      return writer;
    },
  };
}

const savedIn = (memory: Memory): SavedSight[] =>
  [...memory.read('heat')].map(([key, sight]) => ({ key, sight }) as SavedSight);

/** Which devices are in use on a day, and which tank each heats, as a text to compare. */
const servingOn = (date: LocalDate, { config }: House): string =>
  JSON.stringify(
    Object.values(config.devices).map((device) => [
      inUse(device, date),
      tankOf(device, config.tanks, date),
    ]),
  );

const dateOf = (day: Span, { calendar }: House): LocalDate => calendar.dateAt(day.from);

const writerOf = (
  { config }: House,
  today: LocalDate,
  blindNow: NonNullable<Names['blindWithout']>,
): Writer =>
  createWriter({
    names: { ...alertNames(config, today), blindWithout: blindNow },
    locale: config.site.locale,
    zone: config.site.time_zone,
  });

/** Whether the thing that an alert is about is still in the config. */
const isWatchedIn = ({ config }: House, channels: readonly Recipient[]) => {
  const things = {
    device: config.devices,
    tank: config.tanks,
    plug: config.plugs,
    probe: config.probes,
    room: config.rooms,
  };
  return ({ subject }: Alert): boolean =>
    subject.kind === 'channel'
      ? channels.some(({ name }) => name === subject.id)
      : subject.id in things[subject.kind];
};
