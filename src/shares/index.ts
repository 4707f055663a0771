export { UPKEEP } from './config.ts';
export { type Share, shareOut, sharesOf } from './share.ts';
