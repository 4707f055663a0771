export type { Evidence, Finding, Severity, Subject, WatchName } from './finding.ts';
