'use client'
import { Button, FormField, SelectField } from '@/app/ui'
import { pieceName } from './piece-name'
import { fieldsOf, MOST_PIECES, pieceField, type TrackDraft } from './use-track-draft'

/** The pieces in driving order, each with its measures. */
export function PieceRows({
  draft,
  may,
  onCurrent,
}: {
  draft: TrackDraft
  may: boolean
  onCurrent: (index: number | null) => void
}) {
  return (
    <ol className="ruled piece-rows">
      {draft.drafts.map((d, i) => {
        const refusals = draft.read[i]?.refusals ?? {}
        const name = pieceName(d.name, d.kind, i)
        return (
          <li
            key={d.id}
            className="piece-row"
            data-piece={i}
            onFocus={() => onCurrent(i)}
            onBlur={() => onCurrent(null)}
          >
            <div className="piece-head">
              <b className="num">{i + 1}</b>
              <span>{d.kind === 'straight' ? 'Straight' : 'Corner'}</span>
              <span className="piece-acts">
                <Button
                  look="quiet"
                  aria-label={`${name}: earlier`}
                  isDisabled={!may || i === 0}
                  onPress={() => draft.move(d.id, -1)}
                >
                  ↑
                </Button>
                <Button
                  look="quiet"
                  aria-label={`${name}: later`}
                  isDisabled={!may || i === draft.drafts.length - 1}
                  onPress={() => draft.move(d.id, 1)}
                >
                  ↓
                </Button>
                <Button
                  look="quiet"
                  aria-label={`Repeat ${name}`}
                  isDisabled={!may || draft.drafts.length >= MOST_PIECES}
                  onPress={() => draft.duplicate(d.id)}
                >
                  Repeat
                </Button>
                <Button
                  look="quiet"
                  aria-label={`Remove ${name}`}
                  isDisabled={!may}
                  onPress={() => draft.remove(d.id)}
                >
                  Remove
                </Button>
              </span>
            </div>
            <div className="piece-fields">
              <div className="piece-wide">
                <FormField
                  label="Name"
                  value={d.name}
                  onChange={(v) => draft.change(d.id, { name: v })}
                  maxLength={40}
                  isDisabled={!may}
                />
              </div>
              {fieldsOf(d.kind).map((field) => {
                const { label, unit } = pieceField(field, draft.speeds)
                return (
                  <FormField
                    key={field}
                    label={unit ? `${label}, ${unit}` : label}
                    value={d.texts[field]}
                    onChange={(v) => draft.setText(d.id, field, v)}
                    inputMode="decimal"
                    isDisabled={!may}
                    refusal={refusals[field] ?? null}
                  />
                )
              })}
              {d.kind === 'corner' && (
                <SelectField
                  label="Goes"
                  options={[
                    { id: 'left', label: 'left' },
                    { id: 'right', label: 'right' },
                  ]}
                  none="not said"
                  value={d.turn}
                  onChange={(v) => draft.change(d.id, { turn: v === 'left' || v === 'right' ? v : null })}
                  isDisabled={!may}
                />
              )}
            </div>
          </li>
        )
      })}
    </ol>
  )
}
