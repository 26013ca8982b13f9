import { AttemptThrottle, THROTTLE } from '@/lib/join/attempt-throttle'
import type { MakeTeamRequest, MakeTeamResponse } from '@/lib/join/hosting-api'
import { joinLink, readJoinCode } from '@/lib/join/join-code'
import { readTeamAddress } from '@/lib/join/team-address'
import { readTeamName } from '@/lib/join/team-name'
import { ok } from '@/lib/core/result'
import type { DeskResult } from '../join/join-desk'
import { SlowAnswers } from '../join/slow-answers'
import type { Timers } from '../sync/timers'
import { BAD_CODE, type TeamList } from './team-list'

interface Parts {
  list: TeamList
  timers: Timers
  /** The list has changed. */
  settle: () => void
  /** A link that makes a team's first manager. */
  firstLink: (address: string) => Promise<{ code: string; origin: string }>
}

/** Where an operator's code becomes a team. */
export class HostingDesk {
  readonly #throttle = new AttemptThrottle()
  readonly #slow: SlowAnswers
  constructor(readonly parts: Parts) {
    this.#slow = new SlowAnswers(parts.timers.after)
  }

  async make(request: MakeTeamRequest, sender: string): Promise<DeskResult<MakeTeamResponse>> {
    const { list, timers, settle, firstLink } = this.parts
    const code = readJoinCode(request.code, { what: 'Operator’s code', how: 'Type' })
    if (!code.ok) return { result: code }
    if (!list.isOpen(code.value)) {
      const answered = await this.#slow.hold(sender, this.#throttle.failed(sender, timers.steady()))
      if (!answered) return { slowed: { what: 'Wrong codes', retryAfterMs: THROTTLE.longestDelay } }
      // Who has no code learns nothing of which addresses there are.
      return { result: BAD_CODE }
    }
    const name = readTeamName(request.name)
    if (!name.ok) return { result: name }
    const address = readTeamAddress(request.address)
    if (!address.ok) return { result: address }
    const made = list.addByCode(code.value, name.value, address.value)
    if (!made.ok) return { result: made }
    settle()
    const link = await firstLink(made.value.address)
    return {
      result: ok({
        name: made.value.name,
        address: made.value.address,
        code: link.code,
        link: joinLink(link.origin, link.code),
      }),
    }
  }
}
