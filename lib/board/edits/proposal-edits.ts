import { refuse, type Result } from '../../core/result'
import type { BoardView } from '../board-view'
import { joinId } from '../flat-key'
import { parameterOf } from '../parameters'
import { runEdit, type EditContext } from '../write-session'
import { checkSetting } from './check-setting'

/** Take a proposal (the card then asks for its value, with its reason) or leave it. */
export function answerProposal(
  ctx: EditContext,
  view: BoardView,
  t: { proposalId: string; outcome: 'taken' | 'left' },
): Result<void> {
  return runEdit(ctx, t.outcome === 'taken' ? 'take-proposal' : 'leave-proposal', (w) => {
    const proposal = view.proposals.get(t.proposalId)
    const { carId, parameter, value } = proposal ?? {}
    if (!carId || !parameter || !value || value.v === null)
      return refuse('Proposal', '', 'is no longer there', 'Look at the card again.')
    if (proposal?.outcome?.v)
      return refuse(
        'Proposal',
        '',
        `was ${proposal.outcome.v} already`,
        'Propose it again if it still matters.',
      )
    w.meeting('proposals', t.proposalId, { outcome: w.stamp(t.outcome) })
    if (t.outcome === 'taken') {
      const p = parameterOf(view, carId, parameter)
      if (!p)
        return refuse(
          'Value',
          parameter,
          'is not on this car’s card',
          'Check the car’s speed control in the kit.',
        )
      const fits = checkSetting(p, value.v)
      if (!fits.ok) return fits
      const id = joinId(carId, parameter)
      w.meeting('cardValues', id, { assigned: w.stamp(value.v, value.why) })
      if (view.cardValues.get(id)?.cannot?.v) w.meeting('cardValues', id, { cannot: w.stamp(null) })
    }
    return { ok: true, value: undefined }
  })
}
