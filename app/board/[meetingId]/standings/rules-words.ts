import { isFewerBetter, type SeriesRules } from '@/lib/standings'

/** The rules in a line: `Best 2 of 3 rounds, by place: the fewest points win.` */
export function rulesWords(rules: SeriesRules, rounds: number, one: string): string {
  const { counting, score } = rules
  const count =
    counting === null || counting >= rounds
      ? `All ${one}s count`
      : `Best ${counting} of ${rounds} ${one}s count`
  const how =
    score === 'laps-and-time'
      ? 'by laps and time, added up'
      : `by ${score === 'place' ? 'place' : 'the points table'}: the ${isFewerBetter(rules) ? 'fewest' : 'most'} points win`
  return `${count}, ${how}.`
}
