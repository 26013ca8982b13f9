import type * as Y from 'yjs'
import type { Role } from '@/lib/core/role'
import type { StoredAuditEntry } from '@/server/storage/store'
import type { GuardRules } from '@/server/sync/guard-rules'
import type { Limits } from '@/server/sync/limits'
import { Turn, type Work } from '@/server/sync/turn'
import { guardBench, newsOf } from './guard-bench'
import { handSocket, type HandSocket } from './hand-socket'
import { smallRules } from './small-rules'

/**
 * Turns of one room, without the room: the test says what work has come and looks at what each turn would store and send. `cost`: ms that
 * judging one field takes, by the clock `now`.
 */
export function turnBench(o: { rules?: GuardRules; limits?: Partial<Limits> } = {}) {
  const time = { now: 0, cost: 0 }
  const rules: GuardRules = {
    ...(o.rules ?? smallRules),
    checkField: (...about) => {
      time.now += time.cost
      return (o.rules ?? smallRules).checkField(...about)
    },
  }
  const bench = guardBench({ rules, limits: o.limits ?? {}, steady: () => time.now })
  const trail: StoredAuditEntry[] = []
  const spent: number[] = []
  return {
    ...bench,
    time,
    /** What the audit trail on disk holds. */
    trail,
    /** What sockets were charged, ms. */
    spent,
    socket: (role: Role = 'manager', personId: string = role, state: 'proven' | 'unanswered' = 'proven') => {
      const hand = handSocket({ role, personId })
      hand.socket.generation = 'present'
      hand.socket.spend = (ms) => void spent.push(ms)
      if (state === 'proven') hand.socket.handshake = { state }
      return hand
    },
    /** One turn, and what of it would be stored (null: a fault). */
    turn: (work: readonly Work[], answerMs = 0) => {
      const turn = new Turn(
        work,
        bench.board,
        bench.guard,
        bench.parts,
        { history: (q) => trail.filter((e) => e.field === q.field && e.recordId === q.recordId) },
        { clientOf: () => undefined, isHeldByOther: () => false },
        answerMs,
      )
      return { turn, batch: turn.run() }
    },
  }
}
export type TurnBench = ReturnType<typeof turnBench>

/** An update of a page of its own that holds the board as it is. */
export const updateWork = (
  bench: TurnBench,
  { socket }: HandSocket,
  edit: (doc: Y.Doc) => void,
  answer = false,
): Extract<Work, { kind: 'update' }> => ({
  kind: 'update',
  from: socket,
  bytes: newsOf(bench.page(), (d) => d.transact(() => edit(d))),
  answer,
})
export const note =
  (id: string, text = 'x') =>
  (doc: Y.Doc) =>
    void doc.getMap('notes').set(`${id}:text`, text)
export const barrierWork = ({ socket }: HandSocket, n = 1): Work => ({
  kind: 'barrier',
  from: socket,
  barrier: { epoch: 1, n },
})
export const questionWork = ({ socket }: HandSocket, vector: Uint8Array = Uint8Array.of(0)): Work => ({
  kind: 'question',
  from: socket,
  vector,
})
/** An edit by the server, and what became of it. */
export function editWork(edit: (doc: Y.Doc) => void) {
  const became: unknown[] = []
  const work: Extract<Work, { kind: 'edit' }> = {
    kind: 'edit',
    edit,
    alongside: undefined,
    resolve: () => void became.push('done'),
    reject: (e) => void became.push(e),
  }
  return { work, became }
}
