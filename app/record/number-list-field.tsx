'use client'
import { useState } from 'react'
import type { Refusal, Result } from '@/lib/core/result'
import { ok, refuse } from '@/lib/core/result'
import { FormField } from '@/app/ui'

/** Points as people write them: `20, 17, 15`, `20 17 15` or one a line. Semicolons part them where the comma is a decimal. */
export function parseNumberList(label: string, text: string): Result<number[]> {
  const parts = text.split(text.includes(';') ? /[;\s]+/ : /[,\s]+/).filter((p) => p !== '')
  const numbers: number[] = []
  for (const part of parts) {
    const n = Number(part.replace(',', '@/app/kit/forms'))
    if (!/^\d+([.,]\d+)?$/.test(part) || n > 10_000)
      return refuse(
        label,
        part,
        'is not a number from 0 to 10000',
        'Enter numbers separated by commas, as in 20, 17, 15.',
      )
    numbers.push(n)
  }
  return numbers.length > 200
    ? refuse(label, `${numbers.length} numbers`, 'is longer than 200', 'Shorten the list.')
    : ok(numbers)
}

export function NumberListField({
  label,
  hint,
  value,
  isDisabled,
  onChange,
}: {
  label: string
  hint: string
  value: readonly number[]
  isDisabled: boolean
  onChange: (value: number[]) => void
}) {
  const [draft, setDraft] = useState<string | null>(null)
  const [refusal, setRefusal] = useState<Refusal | null>(null)
  const commit = () => {
    if (draft === null) return
    const list = parseNumberList(label, draft)
    setRefusal(list.ok ? null : list.error)
    if (!list.ok) return
    setDraft(null)
    if (JSON.stringify(list.value) !== JSON.stringify(value)) onChange(list.value)
  }
  return (
    <div onBlur={commit}>
      <FormField
        label={label}
        hint={hint}
        value={draft ?? value.join(', ')}
        onChange={(v) => {
          setDraft(v)
          setRefusal(null)
        }}
        refusal={refusal}
        isDisabled={isDisabled}
        onEnter={commit}
      />
    </div>
  )
}
