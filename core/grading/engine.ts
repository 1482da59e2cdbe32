/**
 * The version of everything that decides a report: instruction set, board, checks, marks. It goes up when the same
 * hand-in could get another report, so that a stored report says which rules it was made by.
 */
export const engineVersion = 'hexcairn-engine/8'
