/** A unit behind a figure: after a blank, but a degree sign stands right at the number. */
export function Unit({ of: unit }: { of: string | undefined }) {
  if (!unit) return null
  return <span className="unit">{unit.startsWith('°') ? unit : ` ${unit}`}</span>
}
