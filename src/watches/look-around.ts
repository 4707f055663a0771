import type { HeatFit } from '../heat/index.ts';
import { type Instant, MINUTE } from '../units/index.ts';
import type { ExpectedDuty } from './duty-unexplained.ts';
import type { Finding, Subject, WatchName } from './finding.ts';
import type { Draw, TankInput } from './kept-range.ts';
import { labelOf } from './label.ts';
import { type CostsSeen, lookAtCosts } from './look-at-costs.ts';
import { lookAtGear } from './look-at-gear.ts';
import { lookAtHeaters, type SeenHeater } from './look-at-heaters.ts';
import type { Place, Watcher } from './look-with.ts';
import type { PlannedRoom, PlannedTank, WatchPlan } from './plan.ts';
import { lookAtPlugSilent } from './plug-silent.ts';
import { powerNow } from './plug-voice.ts';
import { lookAtProbeFrozen, type ProbeFrozenInput } from './probe-frozen.ts';
import { lookAtProbeSilent } from './probe-silent.ts';
import { type HeatedTank, lookAtRoomCooling, type RoomInput } from './room-cooling.ts';
import {
  freshTemperature,
  patienceOf,
  type Sights,
  type WatchedPlug,
  type WatchedProbe,
} from './sights.ts';
import type { SilenceInput } from './silence.ts';
import { lookAtTankTooCold } from './tank-too-cold.ts';
import { lookAtTankTooWarm } from './tank-too-warm.ts';
import { fallen } from './trail.ts';
import { roomLately, roomTemperature, type TankView, viewHeater, viewTank } from './views.ts';

/** What one watch made of one subject. */
export interface Look {
  /** 'WATCH:SUBJECT', by which its state is kept. */
  readonly key: string;
  readonly watch: WatchName;
  readonly subject: Subject;
  readonly finding: Finding;
  /** Where the subject is. */
  readonly room: string | undefined;
  /** The tank that it is, or serves. */
  readonly tank: string | undefined;
  /** The plug that a device hangs on. */
  readonly plug: string | undefined;
  /** Plain JSON, to be handed in at the next look. */
  readonly state: unknown;
  /** The state is another one than was handed in: worth storing. */
  readonly changed: boolean;
}

/** The moment of a look. */
export interface Moment {
  readonly now: Instant;
  /** Since when the broker has been there without a break; undefined while it is not. */
  readonly connectedSince: Instant | undefined;
  /** By tank: what its fitted heat loss expects of its heaters. Left out where nothing is fitted. */
  readonly expectedDuty?: ReadonlyMap<string, ExpectedDuty> | undefined;
  /** By tank: what was learned of its heat loss. What is not fitted yet goes by geometry. */
  readonly fits?: ReadonlyMap<string, HeatFit> | undefined;
  /** What the books and the forecast know of money; left out, the watches of costs know nothing. */
  readonly costs?: CostsSeen | undefined;
}

/** States by key, as earlier looks gave them. */
export type WatchStates = ReadonlyMap<string, unknown>;

const BRIEF = 30 * MINUTE;

type TankViews = ReadonlyMap<string, TankView>;

/**
 * All watches look once. Cheap enough for every ten seconds, and right at steps of ten minutes.
 * While the broker is away every finding is unknown and no state moves.
 */
export function lookAround(
  plan: WatchPlan,
  sights: Sights,
  states: WatchStates,
  moment: Moment,
): Look[] {
  const { now, connectedSince } = moment;
  const looks: Look[] = [];

  function look<Input, State>(
    watch: WatchName,
    kind: Subject['kind'],
    id: string,
    place: Place,
    watcher: Watcher<Input, State>,
    input: () => Input,
  ): void {
    const { key, subject } = labelOf(sights.labels, watch, kind, id);
    const before = states.get(key);
    const { room, tank, plug } = place;
    if (connectedSince === undefined) {
      const finding = brokerAway;
      looks.push({ key, watch, subject, room, tank, plug, finding, state: before, changed: false });
      return;
    }
    const { state, finding } = watcher(before as State | undefined, input(), now);
    const changed = state !== before;
    looks.push({ key, watch, subject, room, tank, plug, finding, state, changed });
  }

  const views = new Map<string, TankView>();
  for (const room of plan.rooms.values()) {
    const air = roomTemperature(plan, sights, room.id, now);
    const lately = roomLately(plan, sights, room.id, now);
    for (const id of room.tanks) {
      const tank = plan.tanks.get(id);
      const known = { room: air, lately, fit: moment.fits?.get(id) };
      if (tank !== undefined) views.set(id, viewTank(sights, tank, known, now));
    }
    const place = { room: room.id, tank: undefined, plug: undefined };
    look('room-cooling', 'room', room.id, place, lookAtRoomCooling, () =>
      roomInput(plan, sights, room, { temperature: air, views }, now),
    );
  }
  for (const tank of plan.tanks.values()) {
    const view = views.get(tank.id);
    if (view === undefined) continue;
    const heaters = seenOf(sights, tank.heaters, now);
    const place = { room: tank.room, tank: tank.id, plug: undefined };
    const chillers = seenOf(sights, tank.chillers, now);
    const input = (): TankInput => tankInput(sights, tank, view, heaters, chillers, now);
    look('tank-too-warm', 'tank', tank.id, place, lookAtTankTooWarm, input);
    look('tank-too-cold', 'tank', tank.id, place, lookAtTankTooCold, input);
    const expected = moment.expectedDuty?.get(tank.id);
    lookAtHeaters(look, { plan: tank, view, heaters, chillers, expected }, place);
    for (const id of tank.probes) {
      look('probe-frozen', 'probe', id, place, lookAtProbeFrozen, () =>
        frozenInput(sights, id, { tank, view, heaters }, now),
      );
    }
  }
  for (const plug of sights.plugs.values()) {
    const { id, tank } = plug.plan;
    const place = { room: roomOf(plan, tank), tank, plug: undefined };
    look(
      'plug-silent',
      'plug',
      id,
      place,
      lookAtPlugSilent,
      (): SilenceInput => ({
        ...silenceInput(plug, connectedSince ?? now, now),
        last: { what: 'last-power', value: plug.sight.power, unit: 'W', at: plug.sight.powerAt },
        needed: plug.plan.heaters.length > 0,
      }),
    );
  }
  for (const probe of sights.probes.values()) {
    const { id, tank, room } = probe.plan;
    const place = { room: room ?? roomOf(plan, tank), tank, plug: undefined };
    look(
      'probe-silent',
      'probe',
      id,
      place,
      lookAtProbeSilent,
      (): SilenceInput => ({
        ...silenceInput(probe, connectedSince ?? now, now),
        last: {
          what: 'last-temperature',
          value: probe.sight.settled,
          unit: 'C',
          at: probe.sight.temperatureAt,
        },
        needed: tank !== undefined,
      }),
    );
  }
  lookAtGear({ plan, sights, now, connectedSince, look, tank: (id) => views.get(id) });
  lookAtCosts({ plan, look }, moment.costs);
  return looks;
}

const roomOf = (plan: WatchPlan, tank: string | undefined): string | undefined =>
  tank === undefined ? undefined : plan.tanks.get(tank)?.room;

/** The one reason that any watch may give beside its own. */
export type SharedReason = 'broker-away';

const brokerAway: Finding & { readonly reason: SharedReason } = {
  verdict: 'unknown',
  severity: 'notice',
  reason: 'broker-away',
  confidence: 'possible',
  evidence: [],
  hold: MINUTE,
};

const seenOf = (sights: Sights, ids: readonly string[], now: Instant): SeenHeater[] =>
  ids.flatMap((id) => {
    const heater = sights.heaters.get(id);
    if (heater === undefined) return [];
    return [{ plan: heater.plan, view: viewHeater(sights, heater, now) }];
  });

function frozenInput(
  sights: Sights,
  id: string,
  of: {
    readonly tank: PlannedTank;
    readonly view: TankView;
    readonly heaters: readonly SeenHeater[];
  },
  now: Instant,
): ProbeFrozenInput {
  const probe = sights.probes.get(id);
  return {
    config: of.tank.config,
    stills: probe?.sight.stills,
    temperature: probe && freshTemperature(probe, now),
    at: probe?.sight.temperatureAt,
    tank: of.view,
    heaters: of.heaters.map(({ view }) => view),
  };
}

function tankInput(
  sights: Sights,
  plan: PlannedTank,
  tank: TankView,
  heaters: readonly SeenHeater[],
  chillers: readonly SeenHeater[],
  now: Instant,
): TankInput {
  const powers = heaters
    .filter(({ view }) => view.voice === 'speaks')
    .map(({ view }) => view.power ?? 0);
  return {
    config: plan.config,
    tank,
    heatingW: powers.length === 0 ? undefined : powers.reduce((sum, it) => sum + it, 0),
    heatersW: heatersW(sights, plan),
    draws: () => [
      ...[...heaters, ...chillers].flatMap(({ plan: { id }, view }): Draw[] =>
        view.voice !== 'speaks' || view.power === undefined
          ? []
          : [{ device: id, power: view.power, at: view.powerAt }],
      ),
      ...plan.others.flatMap((other): Draw[] => {
        const drawn = powerNow(sights, other, now);
        return drawn === undefined ? [] : [{ device: other.id, ...drawn }];
      }),
    ],
  };
}

function silenceInput(
  source: WatchedPlug | WatchedProbe,
  connectedSince: Instant,
  now: Instant,
): Omit<SilenceInput, 'last' | 'needed'> {
  const { heard, presence, presenceAt } = source.sight;
  return {
    manner: source.manner,
    patience: patienceOf(source, now),
    heard,
    presence,
    presenceAt,
    connectedSince,
  };
}

function roomInput(
  plan: WatchPlan,
  sights: Sights,
  room: PlannedRoom,
  { temperature, views }: Pick<RoomInput, 'temperature'> & { readonly views: TankViews },
  now: Instant,
): RoomInput {
  const probes = room.probes.flatMap((id) => sights.probes.get(id) ?? []);
  const fresh = probes.filter((probe) => freshTemperature(probe, now) !== undefined);
  const within = room.config.room_cooling.within_min * MINUTE;
  // Outdoors the weather may fall as it likes; how cold it gets still matters.
  const falls = (room.outdoors ? [] : fresh)
    .map(({ sight }) => fallen(sight.trail, now, within, Math.min(BRIEF, within / 4)))
    .filter((fall) => fall !== undefined)
    .sort((a, b) => a - b);
  return {
    config: room.config,
    probes: probes.length,
    temperature,
    at: fresh[0]?.sight.temperatureAt,
    fallen: falls[(falls.length - 1) >> 1],
    tanks: heatedTanks(plan, sights, room, views),
  };
}

/** The tanks of a room that have heaters, and all that those can give. */
const heatedTanks = (
  plan: WatchPlan,
  sights: Sights,
  room: PlannedRoom,
  views: TankViews,
): HeatedTank[] =>
  room.tanks.flatMap((id) => {
    const view = views.get(id);
    const tank = plan.tanks.get(id);
    if (view === undefined || tank === undefined || tank.heaters.length === 0) return [];
    return [{ id, heat: view, heaterW: heatersW(sights, tank) }];
  });

/** What all its heaters together can give, W: as learned, else as rated. */
const heatersW = (sights: Sights, { heaters }: PlannedTank): number =>
  heaters
    .flatMap((heater) => sights.heaters.get(heater) ?? [])
    .reduce((sum, { sight, plan: { nameplate } }) => sum + (sight.onPower ?? nameplate), 0);
