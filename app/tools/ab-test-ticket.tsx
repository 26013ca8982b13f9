'use client'
import { useEffect, useState } from 'react'
import { figureText } from '@/lib/core/figure-text'
import { judgeTest, nextSide, type Removed } from '@/lib/learning'
import { Button, Figure, Figures, FormField, NumberEntry } from '@/app/ui'
import { parseTestRuns } from './parse-test-runs'
import { NamedProblems } from './named-problems'
import { ToolFrame } from './tool-frame'

/** Invented: B 0.5 s faster on a track that loses 0.1 s a run. */
export const TEST_EXAMPLE = {
  list: [
    'A 21.5 20.0 20.1 19.9 20.0',
    'B 21.2 19.6 19.7 19.5 19.6',
    'B 21.1 19.7 26.4 19.8 19.6',
    'A 21.9 20.3 20.2 20.4 20.3',
  ].join('\n'),
  text: 'A B B A: 20.0, 19.6, 19.7 and 20.3 s without the first laps and a crash. B minus A is 19.65 − 20.15 = −0.50 s, and a steady drift falls out of it.',
} as const

const KEY = 'stagecall-ab-test'
const seconds = (x: number, digits = 2) => figureText(x, { digits })

/** Is A better than B? The board says which to drive next, takes the drift of the day out, and says the difference, or that it can't be told yet. */
export function AbTestTicket() {
  const [text, setText] = useState<string>(TEST_EXAMPLE.list)
  const [worth, setWorth] = useState(0.1)
  const [good, setGood] = useState(() => parseTestRuns(TEST_EXAMPLE.list))
  const change = (next: string) => {
    setText(next)
    const read = parseTestRuns(next)
    if (read.problems.length === 0) setGood(read)
    try {
      localStorage.setItem(KEY, next)
    } catch {
      // Nothing is kept on this phone: the runs stay while the page is open.
    }
  }
  useEffect(() => {
    let kept: string | null = null
    try {
      kept = localStorage.getItem(KEY)
    } catch {
      kept = null
    }
    if (kept === null) return
    const read = parseTestRuns(kept)
    setText(kept)
    if (read.problems.length === 0) setGood(read)
  }, [])
  const { problems } = parseTestRuns(text)
  const v = judgeTest(good.runs, worth)
  const next = nextSide(good.lines.map((l) => l.side))
  // The example is nobody's: the first run of one's own takes its place.
  const own = text === TEST_EXAMPLE.list ? '' : text
  // A run that was begun waits for its laps: a second tap begins no other.
  const isBegun = /(?:^|\n)\s*[AB]\s*$/i.test(own)
  const nextOwn = own === '' ? nextSide([]) : next
  const short = good.lines.filter((l) => l.lapS === null).length
  return (
    <ToolFrame
      id="ab-test"
      title="A or B"
      about="Practice: which of two is faster, with the day’s drift taken out. Noise is seldom called a gain."
      isStale={problems.length > 0}
      problem={problems.length > 0 ? <NamedProblems problems={problems} /> : undefined}
      fields={
        <>
          <div className="tool-wide">
            <FormField
              label="Runs"
              value={text}
              onChange={change}
              multiline
              maxLength={40_000}
              hint="One run in a line, as driven: A or B, then its laps in seconds. The first lap of a run does not count. Where tires or packs change, note the runs behind them before the laps, as in B t3 p12. Kept on this phone only."
            />
            <div className="btn-row">
              <Button
                onPress={() => isBegun || change(`${own.trimEnd()}${own.trim() ? '\n' : ''}${nextOwn} `)}
              >
                Start a run of {nextOwn}
              </Button>
              <Button onPress={() => change('')}>Clear</Button>
            </div>
          </div>
          <NumberEntry
            label="Worth having"
            value={worth}
            onChange={(x) => x !== null && setWorth(x)}
            min={0.01}
            max={5}
            step={0.01}
            unit="s"
            hint="The least difference a lap that you would change the car for."
          />
        </>
      }
      example={
        <>
          <p>{TEST_EXAMPLE.text}</p>
          <p className="small">
            Mirrored order against drift: Cox, Planning of Experiments (1958); looks after every run: Pocock,
            Biometrika 64 (1977); no difference worth having: Schuirmann, J. Pharmacokin. Biopharm. 15 (1987).
          </p>
          {text !== TEST_EXAMPLE.list && (
            <Button onPress={() => change(TEST_EXAMPLE.list)}>Fill in the example</Button>
          )}
        </>
      }
    >
      <p>
        <b>{verdictText(v)}</b>
      </p>
      {short > 0 && (
        <p className="small">
          {short === 1 ? '1 run has' : `${short} runs have`} too few laps to count: three after the first are
          needed.
        </p>
      )}
      {v.notApart.includes('drift') && (
        <p className="small">These runs can’t tell the sides from the drift. Alternate them.</p>
      )}
      <Figures label="Answer of A or B">
        <Figure
          label="B minus A"
          value={v.differenceS === null ? null : seconds(v.differenceS)}
          missing="needs two runs of each"
          unit="s"
          {...(v.plusMinusS !== null && { plusMinus: seconds(v.plusMinusS) })}
        />
        <Figure label="Runs of A and B" value={`${v.runs.A} and ${v.runs.B}`} />
        <Figure label="Next run" value={next} />
        <Figure
          label="Taken out"
          value={v.removed.length > 0 ? v.removed.map((r) => REMOVED[r]).join(', ') : null}
          missing="needs four runs"
        />
        <Figure
          label="Drift of a run"
          value={v.driftPerUnit === null ? null : seconds(v.driftPerUnit, 3)}
          missing="needs four runs"
          unit="s"
        />
        <Figure
          label="Spread between runs"
          value={v.scatterS === null ? null : seconds(v.scatterS)}
          missing="needs four runs"
          unit="s"
        />
      </Figures>
    </ToolFrame>
  )
}

const REMOVED: Readonly<Record<Removed, string>> = {
  drift: 'drift',
  'bent drift': 'its bend',
  'tire age': 'age of the tires',
  'pack age': 'age of the packs',
}

export function verdictText(v: ReturnType<typeof judgeTest>): string {
  switch (v.says) {
    case 'A':
      return 'A is faster.'
    case 'B':
      return 'B is faster.'
    case 'none':
      return 'No difference worth having.'
    default:
      if (v.moreOfEach === null) return 'Can’t tell yet, and a day’s runs would hardly tell it.'
      return `Can’t tell yet: about ${v.moreOfEach} more ${v.moreOfEach === 1 ? 'run' : 'runs'} of each.`
  }
}
