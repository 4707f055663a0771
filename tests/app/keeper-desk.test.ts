import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { Group } from '../../src/app/group.ts';
import { createKeeperDesk, type KeeperDesk } from '../../src/app/keeper-desk.ts';
import { createLanes, type Lanes } from '../../src/app/lanes.ts';
import { openStore, type Store } from '../../src/storage/index.ts';
import { later, MINUTE } from '../../src/units/index.ts';
import { logBook, machineClock } from '../mqtt/link-under-test.ts';
import { scratchFolder } from '../storage/scratch.ts';
import { loftHouse, memoryOf, NOON } from './loft.ts';

let scratch: ReturnType<typeof scratchFolder>;
let store: Store;
let lanes: Lanes;
let group: Group;
let desk: KeeperDesk;
let takes: boolean;
const published: string[] = [];

beforeEach(() => {
  scratch = scratchFolder();
  store = openStore({ file: join(scratch.path, 'books.db') });
  const { logger } = logBook();
  const house = loftHouse();
  group = new Group();
  lanes = createLanes(house, { memory: memoryOf(), store, group, logger, now: NOON });
  takes = true;
  published.length = 0;
  desk = createKeeperDesk({
    root: 'ampulla/heron-loft',
    store,
    group,
    watches: lanes.watches,
    heat: lanes.heat,
    config: () => house.config,
    publish: async (_topic, body) => {
      published.push(`${body}`);
    },
    added: () => {},
    commit() {
      if (takes) store.commit(group.batch());
      return takes;
    },
    clock: { ...machineClock, now: () => NOON },
    logger,
  });
});
afterEach(() => {
  store.close();
  scratch.remove();
});

const BEGIN = { do: 'begin-tending', tank: 'tub', minutes: 45 } as const;

describe('the keeper’s desk', () => {
  it('tells the page by name what is so, when the disk has it', () => {
    expect(desk.ask(BEGIN)).toEqual({
      done: true,
      words: '‘The tub’ is being tended until 12:45 PM; too much heat is told all the same',
    });
    expect(JSON.stringify(store.states('alerts').get('memory'))).toContain('"by":"page"');
    expect(lanes.watches.tendings(NOON)).toEqual([
      { tank: 'tub', since: NOON, until: later(NOON, 45 * MINUTE), by: 'page' },
    ]);
  });

  it('promises nothing that the disk has not taken', () => {
    takes = false;
    const { done, words } = desk.ask(BEGIN);
    expect(done).toBe(false);
    expect(words).toMatch(
      /^the disk takes nothing now, so that a restart may forget that ‘The tub’ is being tended/,
    );
    // It holds all the same: a keeper at work is not alarmed because a disk is full.
    expect(lanes.watches.tendings(NOON)).toHaveLength(1);
  });

  it('gives the code with a refusal, and commits nothing for it', () => {
    takes = false;
    expect(desk.ask({ do: 'end-tending', tank: 'bathtub' })).toMatchObject({
      done: false,
      code: 'AMP_APP_TANK',
      words: expect.stringContaining("there is no tank 'bathtub'"),
    });
    expect(desk.ask({ do: 'acknowledge', alert: 'constructor' })).toMatchObject({
      done: false,
      code: 'AMP_ALERTS_NOT_OPEN',
    });
    expect(desk.ask({ ...BEGIN, minutes: 481 })).toMatchObject({ code: 'AMP_ALERTS_TENDING' });
    expect(lanes.watches.tendings(NOON)).toEqual([]);
  });

  it('goes by ids over MQTT, where programs read the answer', () => {
    const payload = new TextEncoder().encode(JSON.stringify(BEGIN));
    desk.hear({ topic: desk.topic, payload, retained: false, arrived: NOON });
    expect(published.map((body) => JSON.parse(body))).toEqual([
      { done: true, words: expect.stringMatching(/^tub is being tended until /) },
    ]);
  });
});
