type Who = 'simulator' | 'solver' | 'calculation'
type Gone = Pick<ErrorEvent, 'message'>

/**
 * Why a background worker is gone, as the reason of a refusal. The browser tells only so much: an error in its script comes with a message, a script
 * that could not be loaded comes without.
 */
export const threadReason = (who: Who, { message }: Gone): string =>
  message ? `the ${who} stopped (${message.replace(/^Uncaught /, '')})` : `the ${who} did not start`

/** The same as words of their own, with what to do. */
export function threadTrouble(who: Who, gone: Gone): string {
  const reason = threadReason(who, gone)
  return `${reason[0]?.toUpperCase()}${reason.slice(1)}. Try again. If it keeps failing, reload the page where there is a network.`
}
