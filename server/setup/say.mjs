/** Lines for the person who typed the command; stdout stays for what the server itself announces. */
export const say = (line) => process.stderr.write(`${line}\n`)

/** Something the person has to put right; shown without a stack. */
export class SetupError extends Error {}
