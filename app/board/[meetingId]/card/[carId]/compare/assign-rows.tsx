'use client'
import { useBoard, useEditContext, useSettle } from '@/app/sync'
import { Button } from '@/app/ui'
import { assignSeveral, canWrite, joinId, type EditContext } from '@/lib/board'
import type { CopyRow } from '@/lib/card'
import { settingText } from '@/lib/core/setting-text'

export const mayAssign = (ctx: EditContext, carId: string, r: CopyRow): boolean =>
  r.canAssign && canWrite(ctx, 'meeting', 'cardValues', joinId(carId, r.parameterId), 'assigned')

interface AssignProps {
  carId: string
  rows: readonly CopyRow[]
  /** Where the values come from, for the reason on the card; null for what is fitted in the car itself. */
  from: string | null
  /** The act of the whole sheet: how many there are to choose from. */
  of?: number
}

/** One value, or all that are chosen: one edit, and so one undo. */
export function AssignRows({ carId, rows, from, of }: AssignProps) {
  const settle = useSettle()
  const ctx = useEditContext()
  const view = useBoard()
  const values = rows
    .filter((r) => mayAssign(ctx, carId, r))
    .flatMap((r) => (r.there === null ? [] : [{ ...r, value: r.there }]))
  const [only] = values
  const isWhole = of !== undefined
  if (isWhole ? of < 2 : !only) return null
  const said =
    only && values.length === 1
      ? `${only.label} ${settingText(only.value, only.unit)} assigned`
      : `${values.length} values assigned as ${from === null ? 'they are fitted now' : `in ${from}`}`
  const assign = () =>
    settle(
      assignSeveral(ctx, view, {
        carId,
        values: values.map(({ parameterId, value }) => ({ parameterId, value })),
        why: from === null ? 'as fitted now' : `as in ${from}`,
      }),
      said,
    )
  return (
    <Button look={isWhole ? 'do' : 'plain'} wide={isWhole} isDisabled={!only} onPress={assign}>
      {isWhole
        ? values.length === of
          ? `Assign all ${of} differences`
          : `Assign ${values.length} of ${of} differences`
        : only && `Assign ${settingText(only.value, only.unit).replaceAll(' ', '\u00A0')}`}
    </Button>
  )
}
