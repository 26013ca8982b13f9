import { runIdOf } from './running-order'
import { DEMO_TIRE_OF } from './card-data'
import {
  accept,
  assign,
  closeFollowUps,
  fit,
  packIn,
  powerCycle,
  readBack,
  readyActs,
  signList,
  tiresOn,
} from './run-acts'
import { MINUTE, SECOND, write, type Act } from './story'
import type { DayTimes } from './today'

/**
 * Between the first and the second round, and the state in which the demo opens: one car ready at the call, the others each with something
 * loose, so that every kind of loose end can be seen and closed.
 */
export function nowActs(base: number, firstStart: DayTimes['firstStart']): Act[] {
  const ago = (minutes: number) => base - minutes * MINUTE
  const between = firstStart.q2 - 45 * MINUTE
  return [
    // Changes of the first hours, done and proven.
    assign(between, 'petra-amsel', 'wren', 'camberRear', -1.5, 'rear steps out on the brakes'),
    fit(between + 8 * MINUTE, 'ilse-brandt', 'wren', 'camberRear', -1.5),
    assign(between, 'maren-oduya', 'wren', 'esc.withy-roll-brake', 9.5, 'rear steps out on the brakes'),
    fit(between + 10 * MINUTE, 'ilse-brandt', 'wren', 'esc.withy-roll-brake', 9.5),
    readBack(between + 12 * MINUTE, 'ilse-brandt', 'wren', 'esc.withy-roll-brake', 9.5),
    assign(between, 'petra-amsel', 'siskin', 'oilFront', 425, 'bounces over the Washboard'),
    fit(between + 14 * MINUTE, 'bas-verhoef', 'siskin', 'oilFront', 425),
    assign(ago(58), 'anouk-reyes', 'dunlin', 'esc.sluice-coast', 11, 'drag brake a little weak'),
    fit(ago(41), 'bas-verhoef', 'dunlin', 'esc.sluice-coast', 11),
    readBack(ago(39), 'bas-verhoef', 'dunlin', 'esc.sluice-coast', 11),

    ...dunlin(base),
    ...kestrel(ago),
    ...rook(ago),
    ...curlewAndHeron(ago),
    ...words(base, firstStart, ago),
  ]
}

/** Called, and ready: all six facts are true. */
const dunlin = (base: number): Act[] =>
  readyActs({
    runId: runIdOf('q2', 'dunlin'),
    carId: 'dunlin',
    packId: 'p13',
    tireSetId: DEMO_TIRE_OF['dunlin'] ?? '',
    mechanicId: 'bas-verhoef',
    driverId: 'anouk-reyes',
    startAt: base + 4.5 * MINUTE,
    volts: 8.38,
  })

/** Accepted early, because the driver has a heat in between; then the card changed, and the accept is void. */
function kestrel(ago: (m: number) => number): Act[] {
  const runId = runIdOf('q2', 'kestrel')
  return [
    assign(ago(55), 'anouk-reyes', 'kestrel', 'esc.withy-rise', 350, 'one spin at Gull corner'),
    fit(ago(36), 'bas-verhoef', 'kestrel', 'esc.withy-rise', 350),
    readBack(ago(34), 'bas-verhoef', 'kestrel', 'esc.withy-rise', 350),
    tiresOn(ago(24), 'bas-verhoef', runId, 't03'),
    packIn(ago(16), 'bas-verhoef', runId, 'p14', 8.39),
    closeFollowUps(ago(15), 'bas-verhoef', 'kestrel'),
    signList(ago(14), 'bas-verhoef', runId, 'inspection'),
    signList(ago(13), 'bas-verhoef', runId, 'before-staging'),
    accept(ago(9), 'anouk-reyes', runId),
    assign(ago(5), 'petra-amsel', 'kestrel', 'camberFront', -1, 'the track has dried out'),
    fit(ago(2), 'bas-verhoef', 'kestrel', 'camberFront', -1),
  ]
}

/** The pinion is still the old one, and the turbo wait was dialed in and the car was off since, but nobody has looked what it reads. */
function rook(ago: (m: number) => number): Act[] {
  const runId = runIdOf('q2', 'rook')
  return [
    tiresOn(ago(11), 'ilse-brandt', runId, 't01'),
    closeFollowUps(ago(10), 'ilse-brandt', 'rook'),
    assign(ago(26), 'maren-oduya', 'rook', 'pinion', 22, 'short of gear on the Seawall straight'),
    assign(
      ago(25),
      'maren-oduya',
      'rook',
      'esc.withy-turbo-wait',
      520,
      'turbo comes late on the Back straight',
    ),
    signList(ago(9), 'ilse-brandt', runId, 'inspection'),
    signList(ago(8), 'ilse-brandt', runId, 'before-staging', 4),
    fit(ago(6), 'ilse-brandt', 'rook', 'esc.withy-turbo-wait', 520),
    powerCycle(ago(5), 'ilse-brandt', 'rook'),
  ]
}

/** The same pack was promised to both. Heron has new springs and nobody has looked at its ride height. */
function curlewAndHeron(ago: (m: number) => number): Act[] {
  return [
    tiresOn(ago(17), 'bas-verhoef', runIdOf('q2', 'curlew'), 't04'),
    closeFollowUps(ago(16), 'bas-verhoef', 'curlew'),
    tiresOn(ago(20), 'ilse-brandt', runIdOf('q2', 'heron'), 't02'),
    closeFollowUps(ago(19), 'ilse-brandt', 'heron'),
    assign(ago(30), 'tobiah-lund', 'heron', 'springRear', 450, 'lands nose down off the Triple'),
    fit(ago(12), 'ilse-brandt', 'heron', 'springRear', 450),
    write(ago(13), 'joss-whitlow', 'propose', (w) =>
      w.meeting('proposals', 'curlew-proposal', {
        carId: 'curlew',
        parameter: 'pinion',
        value: w.stamp(22, 'motor was at its temperature limit in the first round'),
      }),
    ),
  ]
}

function words(base: number, firstStart: DayTimes['firstStart'], ago: (m: number) => number): Act[] {
  const note = (at: number, by: Act['by'], id: string, about: string, text: string) =>
    write(at, by, 'add-note', (w) => w.meeting('notes', id, { about, text: w.stamp(text) }))
  const conditions = (
    at: number,
    id: string,
    c: { airC: number; trackC: number; humidityPercent: number; grip: number; text: string },
  ) =>
    write(at, 'petra-amsel', 'conditions', (w) =>
      w.meeting('conditions', id, {
        airC: w.stamp(c.airC),
        trackC: w.stamp(c.trackC),
        humidityPercent: w.stamp(c.humidityPercent),
        grip: w.stamp(c.grip),
        text: w.stamp(c.text),
      }),
    )
  return [
    conditions(firstStart.q1 - 30 * MINUTE, 'morning', {
      airC: 12.5,
      trackC: 11,
      humidityPercent: 84,
      grip: 0.8,
      text: 'Damp clay, dust on the outside line.',
    }),
    conditions(firstStart.q1 + 60 * MINUTE, 'late-morning', {
      airC: 15,
      trackC: 17.5,
      humidityPercent: 71,
      grip: 0.88,
      text: 'A dark line has formed.',
    }),
    conditions(firstStart.q2 - 12 * MINUTE, 'after-watering', {
      airC: 16.5,
      trackC: 18,
      humidityPercent: 68,
      grip: 0.95,
      text: 'Watered in the break, grip up.',
    }),
    note(
      firstStart.q1 - 20 * MINUTE,
      'petra-amsel',
      'note-meeting',
      'meeting',
      'Inspection is next to the stage for both classes. Our meter reads 0.01 V above theirs.',
    ),
    note(
      ago(46),
      'ilse-brandt',
      'note-rook',
      'car:rook',
      'Rear left damper shaft has a mark; a spare is in the blue box.',
    ),
    note(ago(33), 'bas-verhoef', 'note-p12', 'pack:p12', 'Plug is a tight fit: push until it clicks.'),
    note(
      ago(18),
      'anouk-reyes',
      'note-anouk',
      'meeting',
      'I have one heat between my two cars. Please bring Kestrel to staging.',
    ),
    write(ago(31), 'petra-amsel', 'job', (w) =>
      w.meeting('jobs', 'job-tires', {
        text: 'Glue the two new 4WD sets for the finals',
        personId: 'bas-verhoef',
        dueAt: base + 150 * MINUTE,
      }),
    ),
    write(ago(29), 'petra-amsel', 'job', (w) =>
      w.meeting('jobs', 'job-stand-in', {
        text: 'Find a marshal for Anouk after heat 5',
        personId: 'petra-amsel',
        dueAt: base + 8 * MINUTE + 30 * SECOND,
      }),
    ),
  ]
}
