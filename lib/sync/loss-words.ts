import type { Loss } from './loss-notice'

/**
 * What was lost, since when and whose, as sentences.
 * @param when writes an instant, ms since the epoch
 */
export function lossSentences(loss: Loss, when: (at: number) => string): string[] {
  const { after, until, writes, people } = loss
  const since = after === null ? 'Everything that was saved' : `What was saved after ${when(after)}`
  const end = until === null ? '' : after === null ? ` until ${when(until)}` : ` and until ${when(until)}`
  const count = writes === null ? '' : `: ${writes} ${writes === 1 ? 'write' : 'writes'} to the disk`
  const whose = people.map((p) => `${p.name} (${p.edits})`).join(', ')
  return [
    `${since}${end} is missing${count}.`,
    whose === '' ? 'Whose edits they were can’t be read anymore.' : `Edits by: ${whose}.`,
  ]
}

export const LOSS_TITLE = 'Saved edits are lost'
export const LOSS_CAUSE = 'the log of edits was damaged while the board was not running.'
export const WHAT_TO_DO =
  'Open the board on every phone that was in use, so it can send back what it still has. Check the cars and runs since then. Have the disk of the computer that runs the board checked.'
