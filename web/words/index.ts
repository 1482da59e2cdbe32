export { count, duration, marks, score, tStates, whole } from './figures.ts'
export { clockTime, distance, fromWallClock, moment, toWallClock } from './moments.ts'
export { switchesOn, switchesTurned } from './switches.ts'
