/** Who can close something: names, `you` for whoever looks; else anybody of a role. */
export function whoText(
  who: { personIds: readonly string[]; role: string },
  me: string,
  nameOf: (personId: string) => string,
): string {
  const names = who.personIds.map((id) => (id === me ? 'you' : nameOf(id)))
  return names.length ? names.join(', ') : `a ${who.role}`
}
