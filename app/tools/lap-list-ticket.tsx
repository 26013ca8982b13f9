'use client'
import { useState } from 'react'
import { isAbsent, lapStatistics, type Maybe } from '@/lib/setup-math'
import { Button, Figure, Figures, FormField } from '@/app/ui'
import { parseLaps } from '@/lib/core/parse-laps'
import { LAP_EXAMPLE } from './lap-example'
import { NamedProblems } from './named-problems'
import { ToolFrame } from './tool-frame'

/** More than any run has: several of them can be looked at as one. */
const MOST_LAPS = 2000
const EXAMPLE_LAPS = parseLaps(LAP_EXAMPLE.list, MOST_LAPS).laps

/** What a list of laps says: its middle and spread, with and without the weight of one crash. */
export function LapListTicket() {
  const [text, setText] = useState<string>(LAP_EXAMPLE.list)
  const [good, setGood] = useState(EXAMPLE_LAPS)
  const { laps, problems } = parseLaps(text, MOST_LAPS)
  const isGood = (list: ReturnType<typeof parseLaps>) => list.problems.length === 0 && list.laps.length > 0
  const change = (next: string) => {
    setText(next)
    const read = parseLaps(next, MOST_LAPS)
    if (isGood(read)) setGood(read.laps)
  }
  const s = lapStatistics(good)
  return (
    <ToolFrame
      id="lap-list"
      title="Lap list"
      about="Middle and spread of a run. One crash moves the mean, but hardly the median."
      isStale={problems.length > 0 || laps.length === 0}
      problem={
        problems.length > 0 ? (
          <NamedProblems problems={problems} />
        ) : laps.length === 0 ? (
          'Enter one lap or more.'
        ) : undefined
      }
      fields={
        <div className="tool-wide">
          <FormField
            label="Laps"
            value={text}
            onChange={change}
            multiline
            maxLength={40_000}
            hint="Seconds or minutes, as in 22.41 or 1:02.41, separated by spaces or new lines."
          />
        </div>
      }
      example={
        <>
          <p>{LAP_EXAMPLE.text}</p>
          <p className="small">
            NIST/SEMATECH e-Handbook of Statistical Methods 1.3.5.6; standard deviation with n − 1, median
            distance (MAD) unscaled; arithmetic.
          </p>
          {text !== LAP_EXAMPLE.list && (
            <Button onPress={() => change(LAP_EXAMPLE.list)}>Fill in the example</Button>
          )}
        </>
      }
    >
      <Figures label="Answer of Lap list">
        <Figure label="Laps" value={String(s.laps)} />
        <Figure label="Total" value={s.sumS.toFixed(2)} unit="s" />
        <Figure label="Mean" value={s.meanS.toFixed(3)} unit="s" />
        <Figure label="Standard deviation" {...seconds(s.sdS)} />
        <Figure label="Median" value={s.medianS.toFixed(3)} unit="s" />
        <Figure label="Median distance to it" value={s.madS.toFixed(3)} unit="s" />
        <Figure label="Best" value={s.bestS.toFixed(2)} unit="s" />
        <Figure label="Best three in a row" {...seconds(s.bestThreeConsecutiveS)} />
      </Figures>
    </ToolFrame>
  )
}

const seconds = (x: Maybe<number>) =>
  isAbsent(x) ? { value: null, missing: x.reason } : { value: x.toFixed(3), unit: 's' }
