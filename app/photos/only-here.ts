const counted = (n: number, one: string, more: string) => (n === 0 ? [] : [`${n} ${n === 1 ? one : more}`])

/** What is only on this phone, counted: "3 changes and 1 photo"; null where nothing is. */
export function onlyHere(changes: number, photos: number): string | null {
  const parts = [...counted(changes, 'change', 'changes'), ...counted(photos, 'photo', 'photos')]
  return parts.length === 0 ? null : parts.join(' and ')
}
