/** Codes with which the server ends a live view (RFC 6455 §7.4.2 leaves those from 4000 to the application). */
export const closeCodes = { signedOut: 4001, notAMember: 4003 } as const
