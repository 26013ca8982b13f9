import type { KitRecord } from '../../board'
import {
  isAbsent,
  kvFromNoLoad,
  lossPriors,
  resistanceAtTemperature,
  timingGain,
  torqueConstant,
  wheelsUpTorque,
} from '../../setup-math'

/** A figure with one deviation, in the unit of its input. */
export type Read = readonly [value: number, sd: number]

/** What the kit's bench readings say; what they do not say is left out. */
export interface BenchFigures {
  kv?: Read
  kvTimingDeg?: Read
  /** % of Kv per degree. */
  advanceGain?: Read
  /** % of the no-load loss per degree. */
  noLoadRise?: Read
  noLoadA?: Read
  drivelineMNm?: Read
  packMilliohm?: Read
}

export interface BenchGround {
  motor: KitRecord<'motors'> | undefined
  car: KitRecord<'cars'> | undefined
  pack: KitRecord<'packs'> | undefined
  driven: '2wd' | '4wd'
  /** As the card asks for; null where it does not say. */
  spur: number | null
  pinion: number | null
  internalRatio: number
  timingDeg: number | null
}

/** Errors of what teams read with: meters and logs. Common practice, no source. */
const ERROR = { rpm: 0.004, amps: 0.03, milliohm: 0.1 }
/** Readings closer together than this say nothing about a slope, degrees. */
const LEAST_APART = 3
/** J/mol and one deviation: cells below 25 °C show 16 to 29 kJ/mol (tables read in code, provenance not verified). */
const PACK_ACTIVATION: Read = [20_000, 5000]
/** Volts at which motors are read when nobody says. */
const USUAL_VOLTS = 7.4

export function benchFigures(g: BenchGround): BenchFigures {
  const out: BenchFigures = { ...motorFigures(g), ...packFigures(g) }
  return { ...out, ...wheelsUpFigures(g, out) }
}

function motorFigures({ motor: m }: BenchGround): BenchFigures {
  if (!m) return {}
  const out: BenchFigures = {}
  const ohm = (m.resistanceMilliohm ?? 0) / 1000
  const reading = (
    timingDeg: number | undefined,
    rpm: number | undefined,
    voltageV: number | undefined,
    currentA: number | undefined,
  ) =>
    rpm && voltageV && currentA !== undefined && voltageV > currentA * ohm
      ? { timingDeg: timingDeg ?? 0, rpm, voltageV, currentA }
      : null
  if (m.noLoadTimingDeg !== undefined) out.kvTimingDeg = [m.noLoadTimingDeg, 0.5]
  const first = reading(m.noLoadTimingDeg, m.noLoadRpm, m.noLoadVolts, m.noLoadCurrentA)
  const second = reading(m.secondTimingDeg, m.secondRpm, m.secondVolts, m.secondCurrentA)
  if (first) {
    const kv = kvFromNoLoad(first, ohm)
    out.kv = [kv, kv * 0.012]
  }
  if (!first || !second || m.noLoadTimingDeg === undefined || m.secondTimingDeg === undefined) return out
  const apart = m.secondTimingDeg - m.noLoadTimingDeg
  if (Math.abs(apart) < LEAST_APART) return out
  const [kv1, kv2] = [kvFromNoLoad(first, ohm), kvFromNoLoad(second, ohm)]
  const fit = timingGain([first, second], ohm)
  const root2 = Math.SQRT2 / Math.abs(apart)
  // The lap model counts degrees from the first reading's timing.
  out.advanceGain = [(100 * fit.gainPerDegree * fit.kvAtZeroTiming) / kv1, 100 * ERROR.rpm * root2]
  if (first.currentA > 0) {
    const [share] = lossPriors.noLoadSpeedShare
    const faster = 1 - share + (share * second.rpm) / first.rpm
    const loss = second.currentA / kv2 / (first.currentA / kv1) / faster
    out.noLoadRise = [(100 * (loss - 1)) / apart, 100 * ERROR.amps * root2]
  }
  return out
}

/**
 * Packs are raced at 25 °C or above, and above 25 °C their resistance hardly falls any more: a reading from a colder pack is taken down to there.
 */
function packFigures({ pack }: BenchGround): BenchFigures {
  const { resistanceMilliohm: read, resistanceAtC: atC } = pack ?? {}
  if (!read || atC === undefined) return {}
  const at = (activationEnergyJPerMol: number) =>
    resistanceAtTemperature({
      resistanceOhm: read,
      measuredAtC: atC,
      temperatureC: 25,
      activationEnergyJPerMol,
    })
  const [energy, sd] = PACK_ACTIVATION
  const value = at(energy)
  return { packMilliohm: [value, Math.hypot(ERROR.milliohm * value, at(energy - sd) - value)] }
}

function wheelsUpFigures(g: BenchGround, known: BenchFigures): BenchFigures {
  const { motor: m, car } = g
  const pinion = car?.wheelsUpPinion ?? g.pinion
  const kv0 = m?.kvRpmPerVolt ?? known.kv?.[0]
  const { wheelsUpCurrentA: amps, wheelsUpRpm: rpm } = car ?? {}
  if (!m || amps === undefined || !rpm || !pinion || !g.spur || !kv0) return {}
  const finalDrive = (g.spur / pinion) * g.internalRatio
  const degrees =
    m.noLoadTimingDeg === undefined
      ? 0
      : (car?.wheelsUpTimingDeg ?? g.timingDeg ?? m.noLoadTimingDeg) - m.noLoadTimingDeg
  const gain = 1 + ((known.advanceGain?.[0] ?? 1) / 100) * degrees
  const kv = kv0 * gain
  const perAmp = torqueConstant(kv) * finalDrive * 1000
  const [usual, usualSd] = lossPriors.drivelineNm[g.driven]
  const own = m.noLoadCurrentA
  if (own === undefined) {
    // The two can't be told apart: what the driveline usually takes is taken off.
    const left = Math.max(0.5, amps - (1000 * usual) / perAmp)
    return { noLoadA: [left, Math.hypot(ERROR.amps * amps, (1000 * usualSd) / perAmp)] }
  }
  const rises = Math.max(
    0.2,
    1 + ((known.noLoadRise?.[0] ?? 100 * lossPriors.noLoadRisePerDegree[0]) / 100) * degrees,
  )
  const torque = wheelsUpTorque({
    currentA: amps,
    rpm,
    finalDrive,
    kvRpmPerVolt: kv,
    // The loss rises, and with less torque for each ampere it takes more of them.
    noLoadCurrentA: own * rises * gain,
    noLoadRpm: m.noLoadRpm ?? kv0 * (m.noLoadVolts ?? USUAL_VOLTS),
    noLoadSpeedShare: lossPriors.noLoadSpeedShare[0],
  })
  if (isAbsent(torque)) return {}
  const error = Math.hypot(ERROR.amps * amps, ERROR.amps * own, 0.01 * Math.abs(degrees) * own)
  return { drivelineMNm: [1000 * torque, Math.min(1000 * usualSd, perAmp * error)] }
}
