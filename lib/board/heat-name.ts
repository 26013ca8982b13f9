/** What a heat is called by: its day's number, and what the organizer calls it. */
export interface NamedHeat {
  number?: number | undefined
  label?: string | undefined
  isBreak?: boolean | undefined
}

const FORMER_NUMBER = /\b(heat|race|run)\s*(no\.?|#)?\s*\d+\b/gi

/**
 * What a heat's own label says beyond its class and its number: organizers often repeat the class there, and count the heats of a class beside
 * those of the day. `2WD Modified, A final, leg 1` is `A final, leg 1`; `2WD Modified, heat 1` of heat 5 is nothing.
 */
export function heatLabelBeside({ label, number }: NamedHeat, className = ''): string {
  let rest = label ?? ''
  const at = className ? rest.toLowerCase().indexOf(className.toLowerCase()) : -1
  if (className && at >= 0) rest = rest.slice(0, at) + rest.slice(at + className.length)
  if (number !== undefined) rest = rest.replace(FORMER_NUMBER, '')
  return rest
    .replace(/([,·:–-])(\s*[,·:–-])+/g, '$1')
    .replace(/^[\s,·:–-]+|[\s,·:–-]+$/g, '')
    .replace(/\s+/g, ' ')
}

/** The number that a final's letter stands for, 1 for A; it orders the finals and is no number of the day. */
const letterNumber = (name: string): number | null => {
  const letter = /^([a-l])\s*(?:final|main)\b/i.exec(name)?.[1]
  return letter ? letter.toLowerCase().charCodeAt(0) - 96 : null
}

/** `heat 5`, `A final`, `A final, heat 31`: one name for one heat, its own first. */
export function heatName(heat: NamedHeat, className?: string): string {
  const beside = heatLabelBeside(heat, className)
  const { number } = heat
  if (heat.isBreak) return beside || 'Break'
  if (number === undefined) return beside || 'heat ?'
  if (!beside) return `heat ${number}`
  return letterNumber(beside) === number ? beside : `${beside}, heat ${number}`
}

/** The same at the start of a line: `Heat 5`. */
export const heatNameFirst = (heat: NamedHeat, className?: string): string =>
  heatName(heat, className).replace(/^heat/, 'Heat')
