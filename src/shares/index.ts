export { UPKEEP } from './config.ts';
export {
  type Belonging,
  type Division,
  sharesIn,
  type TankFacts,
  type Used,
} from './division.ts';
export { type Share, shareOut } from './share.ts';
export { compileShares, type Movable, type ShareBook } from './share-book.ts';
