import { listText } from '../core/list-text'
import { clockText } from '../core/clock-text'
import type { OwnResult } from './ladder'
import type { Needed, NeededResults, Share } from './needed'

/** What words need to know beside the answer. */
export interface NeededNames {
  driver: (id: string) => string
  round: (id: string) => string
  /** `A final`, `3rd or better` */
  goal: string
  /** How one round is called here: `round` or `leg`. */
  one: string
}

const ENDINGS = ['th', 'st', 'nd', 'rd']
/** `1st`, `12th`, `23rd` */
export function ordinal(n: number): string {
  const tens = n % 100
  return `${n}${(tens > 10 && tens < 14 ? undefined : ENDINGS[n % 10]) ?? 'th'}`
}

/** `13 laps in 5:04.20 or better` */
export function ownResultText(own: OwnResult): string {
  switch (own.kind) {
    case 'no-start':
      return 'not even a start'
    case 'place':
      return own.place === 1 ? '1st place' : `${ordinal(own.place)} place or better`
    case 'result': {
      const laps = own.laps === 1 ? '1 lap' : `${own.laps} laps`
      return own.isAnyTime ? laps : `${laps} in ${clockText(own.seconds, 2)} or better`
    }
  }
}

/** `64%`, `64% ±5` */
export function shareText({ share, plusMinus }: Share): string {
  const percent = Math.round(share * 100)
  return plusMinus === 0 ? `${percent}%` : `${percent}% ±${Math.max(1, Math.round(plusMinus * 100))}`
}

/** What the answer says, in sentences, the most telling first. */
export function neededWords(needed: Needed, names: NeededNames): string[] {
  const { goal } = names
  const whoever = needed.isWhatever
    ? 'whatever the others do'
    : needed.isIfAllStart
      ? 'if all of the others start'
      : 'if the others repeat runs that they have had'
  switch (needed.state) {
    case 'early':
      return ['Too few of the others have a result yet: there is too little to go by.']
    case 'decided':
      return [needed.isReachedNow ? `${goal}: reached.` : `${goal}: not reached.`]
    case 'sure':
      return [`${goal} is certain even without another start, ${whoever}.`]
    case 'out':
      return [`${goal} is out of reach even with the best result there could be, ${whoever}.`]
    case 'waiting':
      return [
        `All your ${names.one}s are run. ${goal} holds in ${needed.asItIs ? shareText(needed.asItIs) : '–'} of the cases.`,
      ]
    case 'open':
      return [
        ...linesOf(needed.each, needed, names, whereEach(needed, names)),
        ...linesOf(
          needed.next,
          needed,
          names,
          `in ${names.round(needed.rounds[0] ?? '')} alone, without a start after it`,
        ),
      ]
  }
}

function whereEach(needed: Needed, names: NeededNames): string {
  const [only, ...more] = needed.rounds
  return more.length === 0
    ? `in ${names.round(only ?? '')}`
    : `in each of the ${more.length + 1} ${names.one}s left`
}

function linesOf(found: NeededResults | null, needed: Needed, names: NeededNames, where: string): string[] {
  if (!found) return []
  const lines: string[] = []
  const said = (own: OwnResult) => capital(`${ownResultText(own)} ${where}`)
  const { ifOthersHold: held, half, mostly, always } = found
  if (held && !isSame(held, always)) {
    const who = found.rivals.map(names.driver)
    const unless =
      who.length === 0
        ? 'nobody else improves'
        : `${listText(who, 3)} ${who.length === 1 ? 'does' : 'do'} not improve`
    lines.push(
      `${said(held)}, if ${unless}${found.holdShare ? ` (enough in ${shareText(found.holdShare)} of the cases)` : ''}.`,
    )
  }
  if (half && !isSame(half, held) && !isSame(half, always))
    lines.push(`${said(half)} is enough in half of the cases.`)
  if (mostly && !isSame(mostly, half) && !isSame(mostly, always))
    lines.push(`${said(mostly)} is enough in 9 of 10 cases.`)
  if (always) lines.push(`${said(always)} is enough ${everyCase(needed)}.`)
  // The next round alone is told only where it can do.
  if (lines.length === 0 && found === needed.each)
    lines.push(`No result ${where} reaches it in half of the cases: the others would have to fall back.`)
  return lines
}

const everyCase = ({ isCertain, method }: Needed): string =>
  isCertain
    ? 'in every case'
    : `in all of the ${method.kind === 'simulated' ? method.draws : method.cases} cases that were drawn`

const isSame = (a: OwnResult | null, b: OwnResult | null): boolean => JSON.stringify(a) === JSON.stringify(b)
const capital = (text: string): string => text.charAt(0).toUpperCase() + text.slice(1)

/** What the cases are, for the line below an answer. */
export function assumptionWords(needed: Needed, by: 'result' | 'place', one: string): string {
  const cases =
    by === 'place'
      ? `The others finish the ${one}s that are left in any order, each as likely.`
      : `In each ${one} that is left each of the others drives again one of the runs that they have had here, each as likely; who has had none does not start.`
  const count =
    needed.method.kind === 'exact'
      ? needed.method.cases === 1
        ? 'There is one case.'
        : `All ${needed.method.cases.toLocaleString('en-US')} cases were gone through.`
      : `${needed.method.draws.toLocaleString('en-US')} cases were drawn (± is twice the standard error).`
  return `${cases} ${count}`
}
