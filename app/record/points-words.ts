/** Which way a points table counts, read from the table itself. */
export function pointsWords(table: readonly number[]): string {
  const [first, last] = [table[0], table.at(-1)]
  if (first === undefined || last === undefined || first === last)
    return 'Falling points: the most points win. Rising points: the fewest win.'
  return first > last ? 'Falling: the most points win.' : 'Rising: the fewest points win.'
}
