/** Group heading over a card's values, with the two column heads that are the face of the card. */
export function ValueHead({ title, level = 2 }: { title: string; level?: 2 | 3 }) {
  const Title = `h${level}` as const
  return (
    <div className="value-head">
      <Title>{title}</Title>
      <span>assigned</span>
      <span>fitted</span>
    </div>
  )
}
