/** Which final a text names, and which leg of it; null where it does not say. */
export interface FinalRead {
  /** `A` to `L` */
  letter: string | null
  /** From 1. */
  leg: number | null
  /** The text without what was read. */
  rest: string
}

/** `A final`, `B-Main`, `Final C`. Several finals at once ("A finals") are a round, not one of them. */
const LETTERED = /\b(?:(?:final|main)[\s-]+([a-l])(?![a-z])|([a-l])[\s-]?([1-9])?[\s-]*(?:final|main)\b)/i
const BARE = /\b(?:final|main)s?\b/i
/** Right behind the final: `, leg 2`, ` #2`, `2`. A clock, a scale and the number of wheels driven are no leg. */
const BEHIND =
  /^(?:[\s,(–-]*(?:leg|run)\s*|[\s,(]*(?:race|round|no\.?|nr\.?)\s*|[\s-]*)#?\s*([1-9])(?![\w.:/]|\s*[x/]\s*\d|\s*wd\b)\)?/i
/** Anywhere: `A final – 4WD modified – leg 2`. */
const ANYWHERE = /\(?\bleg\s*#?\s*([1-9])\b\)?/i
const SHORT = /^\s*([a-l])[\s-]*([1-9])?\s*$/i

/**
 * Reads a final's letter and leg as organizers write them. Common practice, no source.
 *
 * @returns null where the text names neither a final nor a leg
 */
export function readFinal(text: string): FinalRead | null {
  const found = LETTERED.exec(text) ?? BARE.exec(text)
  let rest = text
  let leg = found?.[3]
  if (found) {
    const behind = text.slice(found.index + found[0].length)
    const next = leg ? null : BEHIND.exec(behind)
    leg ??= next?.[1]
    rest = joined(text.slice(0, found.index), behind.slice(next?.[0].length ?? 0))
  }
  const far = leg ? null : ANYWHERE.exec(rest)
  if (far) {
    leg = far[1]
    rest = joined(rest.slice(0, far.index), rest.slice(far.index + far[0].length))
  }
  if (!found && !leg) return null
  const letter = found?.[1] ?? found?.[2]
  return { letter: letter?.toUpperCase() ?? null, leg: leg ? Number(leg) : null, rest }
}

/** The same of a text that is known to be a final's name: `B`, `B1` and `Final B1` are enough there. */
export function readFinalName(text: string): FinalRead | null {
  const short = SHORT.exec(text)
  if (short)
    return { letter: (short[1] ?? '').toUpperCase(), leg: short[2] ? Number(short[2]) : null, rest: '' }
  return readFinal(text.replace(/\b(final|main)s\b/gi, '$1'))
}

/** Two ends without the separators where something was taken out between them. */
const joined = (before: string, after: string): string =>
  [before.replace(/[\s,|(–—-]+$/, ''), after.replace(/^[\s,|)–—-]+/, '')].filter(Boolean).join(' – ')
