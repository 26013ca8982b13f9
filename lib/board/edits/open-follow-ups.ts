import type { BoardView } from '../board-view'
import { joinId } from '../flat-key'
import type { KitTrigger } from '../parameters'
import type { Writer } from '../write-session'

/** Follow-up rules that a change of this card parameter, or of something in the kit or the run, calls for. */
export const followUpsFor = (view: BoardView, trigger: string) =>
  view.followUpRules.live.filter((rule) => rule.triggers?.some((t) => triggerMatches(t, trigger)))

/** `esc.*` stands for any speed-control parameter. */
export const triggerMatches = (trigger: string, parameterId: string): boolean =>
  trigger.endsWith('.*') ? parameterId.startsWith(trigger.slice(0, -1)) : trigger === parameterId

/** Open on one car what a change calls for. `what` says the change, as in `Pinion 22 → 23 t`. */
export function openFollowUps(
  w: Writer,
  view: BoardView,
  carId: string,
  trigger: KitTrigger | (string & {}),
  what: string,
): void {
  for (const rule of followUpsFor(view, trigger))
    w.meeting('followUps', joinId(carId, rule.id), { opened: w.stamp(what.slice(0, 200)) })
}
