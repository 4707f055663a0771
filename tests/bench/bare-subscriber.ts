import { connect } from 'mqtt';

/** The reference of the ingest rows: the least that a subscriber can do with the same stream. */
const client = connect(`mqtt://127.0.0.1:${process.argv[2]}`, { protocolVersion: 5 });
let parsed = 0;
client.on('message', (_topic, payload) => {
  const report = JSON.parse(payload.toString()) as { meter: { sum_kwh: number } };
  if (report.meter.sum_kwh >= 0) parsed += 1;
});
client.subscribe('fish/wall/+/report', { qos: 1 });

export interface BareCount {
  readonly parsed: number;
}

process.once('message', () => {
  const count: BareCount = { parsed };
  process.send?.(count);
  client.end(true);
  process.disconnect();
});
process.once('disconnect', () => process.exit());
