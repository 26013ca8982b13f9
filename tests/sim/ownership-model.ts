import { exploreStates, type Exploration } from './explore-states'

/**
 * Ownership and commit of one room, small enough to go through everything that can happen: two processes that may own it, two phones with two
 * edits each, commits whose answer is lost, and a crash at any point. A pause is no step of its own: a process that takes none is paused, and
 * nobody can tell that from outside. What an owner writes stands for the whole room as it knows it, as a snapshot does.
 */
export interface Rules {
  /** The engine refuses a write under an epoch that is not the newest, in the write's own transaction. */
  fence: boolean
  /** Taking a room over begins another epoch. */
  raise: boolean
  /** When a phone is told that its edit is saved, and everybody shown it. */
  told: 'after commit' | 'before commit'
  /** What an owner makes of a commit whose answer was lost. */
  unknown: 'find out' | 'call it failed' | 'call it done'
}

export const OUR_RULES: Rules = { fence: true, raise: true, told: 'after commit', unknown: 'find out' }

interface Owner {
  /** Of its ownership; 0: it owns nothing. */
  epoch: number
  /** The edits that it knows to be stored, in order. */
  knows: readonly number[]
  /** An edit that was judged on top of those. */
  edit: number | null
  /** `open`: inside its transaction; `lost`: the commit's answer did not come. */
  stage: 'idle' | 'judged' | 'open' | 'lost'
}

interface State {
  epoch: number
  /** What is stored, in order. */
  stored: readonly number[]
  /** Each stored edit was judged by the newest owner, on exactly what was stored before it. */
  fairly: boolean
  owners: readonly [Owner, Owner]
  acknowledged: readonly number[]
  crashed: boolean
  takes: number
}

const EDITS = { first: [1, 3], second: [2, 4] }
const MOST_TAKES = 3
const GONE: Owner = { epoch: 0, knows: [], edit: null, stage: 'idle' }
const START: State = {
  epoch: 1,
  stored: [],
  fairly: true,
  owners: [{ ...GONE, epoch: 1 }, GONE],
  acknowledged: [],
  crashed: false,
  takes: 0,
}

type Step = [name: string, to: State]

/** Everything that can happen next. */
function* steps(s: State, rules: Rules): Generator<Step> {
  for (const p of [0, 1] as const) {
    const me = s.owners[p]
    const other = s.owners[1 - p] ?? GONE
    const with_ = (change: Partial<Owner>, rest: Partial<State> = {}): State => {
      const owners: [Owner, Owner] = [s.owners[0], s.owners[1]]
      owners[p] = { ...me, ...change }
      return { ...s, ...rest, owners }
    }
    // The owner's row is locked by a transaction that is open; the engine ends one that is idle for too long.
    const isLocked = rules.fence && other.stage === 'open'
    if (s.takes < MOST_TAKES && !isLocked && me.stage === 'idle') {
      const epoch = rules.raise ? s.epoch + 1 : s.epoch
      const taken = { epoch, knows: s.stored, edit: null, stage: 'idle' } as const
      yield [`${p} takes the room`, with_(taken, { epoch, takes: s.takes + 1 })]
    }
    if (!s.crashed) yield [`${p} crashes`, with_(GONE, { crashed: true })]
    if (me.stage === 'idle' && me.epoch > 0)
      for (const edits of Object.values(EDITS)) {
        const edit = edits.find((e) => !s.acknowledged.includes(e))
        if (edit === undefined) continue
        const early = rules.told === 'before commit' ? { acknowledged: [...s.acknowledged, edit] } : {}
        // A phone sends again what it has no answer to; what is stored already is acknowledged as it stands.
        if (me.knows.includes(edit))
          yield [`${p} acknowledges ${edit} again`, with_({}, { acknowledged: [...s.acknowledged, edit] })]
        else yield [`${p} judges ${edit}`, with_({ edit, stage: 'judged' }, early)]
      }
    if (rules.fence && me.stage === 'judged') {
      if (me.epoch !== s.epoch) yield [`${p} is refused by the fence`, with_(GONE)]
      else if (!isLocked) yield [`${p} opens its transaction`, with_({ stage: 'open' })]
    }
    // Without a fence nothing is checked at the beginning of a write: it has no beginning of its own.
    if (me.edit !== null && me.stage === (rules.fence ? 'open' : 'judged')) {
      const { edit } = me
      const knows = [...me.knows, edit]
      const isFair = s.epoch === me.epoch && String(s.stored) === String(me.knows)
      const committed = { stored: knows, fairly: s.fairly && isFair }
      const acknowledged = s.acknowledged.includes(edit) ? s.acknowledged : [...s.acknowledged, edit]
      yield [
        `${p} commits ${edit}`,
        with_({ knows, edit: null, stage: 'idle' }, { ...committed, acknowledged }),
      ]
      yield [`${p} commits ${edit}, the answer is lost`, with_({ stage: 'lost' }, committed)]
      yield [`the engine ends ${p}'s transaction`, with_({ stage: 'lost' })]
    }
    if (me.stage === 'lost' && me.edit !== null) {
      const { edit } = me
      const knows = [...me.knows, edit]
      const acknowledged = s.acknowledged.includes(edit) ? s.acknowledged : [...s.acknowledged, edit]
      const isDone = rules.unknown === 'find out' ? s.stored.includes(edit) : rules.unknown === 'call it done'
      if (isDone)
        yield [`${p} takes ${edit} for stored`, with_({ knows, edit: null, stage: 'idle' }, { acknowledged })]
      else yield [`${p} takes ${edit} for lost`, with_({ edit: null, stage: 'idle' })]
    }
  }
}

/** What must never be. */
function violation(s: State): string | null {
  const lost = s.acknowledged.find((e) => !s.stored.includes(e))
  if (lost !== undefined) return `edit ${lost} was acknowledged and is not stored`
  if (new Set(s.stored).size < s.stored.length) return 'an edit is stored twice'
  return s.fairly ? null : 'an edit was judged on something other than what was stored'
}

/** Go through all states, nearest first. `looksFor`: only violations that say this. */
export const explore = (rules: Rules, looksFor = ''): Exploration =>
  exploreStates(
    { start: START, steps: (state) => steps(state, rules), keyOf: JSON.stringify, violation },
    looksFor,
  )
