/** A setting that only databases of the demo have. */
export const demoMark = 'demo'
