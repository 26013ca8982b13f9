'use client'
import { Button, FieldFrame, Menu } from '@/app/ui'

/** Several choices in an order that matters, such as tie rules: each moves up or down, or goes. */
export function OrderedChoices<T extends string>({
  label,
  hint,
  options,
  word,
  value,
  isDisabled,
  onChange,
}: {
  label: string
  hint: string
  options: readonly T[]
  word: (option: T) => string
  value: readonly T[]
  isDisabled: boolean
  onChange: (value: T[]) => void
}) {
  const rest = options.filter((o) => !value.includes(o))
  const swap = (i: number) => {
    const next = [...value]
    const [a, b] = [next[i], next[i - 1]]
    if (a === undefined || b === undefined) return
    next[i] = b
    next[i - 1] = a
    onChange(next)
  }
  return (
    <FieldFrame label={label} hint={hint}>
      <ol className="ruled border-2 border-[var(--edge)]">
        {value.map((option, i) => (
          <li key={option} className="flex flex-wrap items-center justify-between gap-2 ps-3">
            <span>
              <span className="num small">{i + 1}</span> {word(option)}
            </span>
            <span className="flex">
              <Button
                look="quiet"
                isDisabled={isDisabled || i === 0}
                aria-label={`${word(option)}: move up`}
                onPress={() => swap(i)}
              >
                Up
              </Button>
              <Button
                look="quiet"
                isDisabled={isDisabled}
                aria-label={`${word(option)}: leave out`}
                onPress={() => onChange(value.filter((v) => v !== option))}
              >
                Out
              </Button>
            </span>
          </li>
        ))}
        {value.length === 0 && <li className="small p-3">None yet.</li>}
      </ol>
      {rest.length > 0 && !isDisabled && (
        <div>
          <Menu
            label={`Add to ${label.toLowerCase()}`}
            button="Add"
            acts={rest.map((o) => ({ id: o, label: word(o), onAct: () => onChange([...value, o]) }))}
          />
        </div>
      )}
    </FieldFrame>
  )
}
