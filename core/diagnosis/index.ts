export { hintOf } from './nearest/hint.ts'
export { nearestPassing, type NearestOptions, type NearestPassing } from './nearest/nearest-passing.ts'
export type { Repair, RepairKind } from './nearest/repair.ts'
