import type { Draws } from './draws'
import { layPath, type Path, type PathPiece } from './path'
import type { RefereeCar } from './vehicle'

export const surfaces = ['clay', 'astroturf', 'carpet', 'dusty-dirt'] as const
export type Surface = (typeof surfaces)[number]

/**
 * Ranges of common practice, no source, except where said. Rolling at 2 m/s of measured 1/10 cars is 0.043 to 0.046 on a floor with drivetrain (steady speeds)
 * and falls below 0.12 to 0.15 with everything (coast-down): spikes and foam on clay lie around them.
 */
const ground: Record<Surface, { mu: [number, number]; rolling: [number, number]; bumpsN: [number, number] }> =
  {
    clay: { mu: [0.8, 1.2], rolling: [0.03, 0.06], bumpsN: [0.3, 1.6] },
    astroturf: { mu: [0.8, 1.2], rolling: [0.04, 0.075], bumpsN: [0.2, 1.2] },
    carpet: { mu: [1.05, 1.45], rolling: [0.02, 0.045], bumpsN: [0.05, 0.5] },
    'dusty-dirt': { mu: [0.42, 0.68], rolling: [0.035, 0.065], bumpsN: [0.6, 2.4] },
  }

export type CarKind = 'modified' | 'stock'

export interface RefereeSeason {
  car: RefereeCar
  path: Path
  surface: Surface
  kind: CarKind
  /** Pieces as a team would draw them. */
  pieces: readonly PathPiece[]
  pinion: number
  spur: number
  internalRatio: number
  raceSeconds: number
}

/** Rest voltage of a cobalt pouch cell as published (PyBaMM, Ai2020), bent by up to 15 mV: no two makes are alike. */
const pouch = [
  3.0, 3.5353, 3.6391, 3.6654, 3.6953, 3.7167, 3.7331, 3.7481, 3.7622, 3.7763, 3.7925, 3.8122, 3.8365, 3.8676,
  3.9089, 3.9519, 3.9944, 4.0409, 4.0879, 4.1384, 4.2,
]

/** A car, a track and a driver by chance. Each range is common practice, no source, unless its comment says more. */
export function drawSeason(d: Draws): RefereeSeason {
  const surface = surfaces[Math.floor(d.even() * surfaces.length)] ?? 'clay'
  const kind: CarKind = d.even() < 0.5 ? 'modified' : 'stock'
  const driven = d.even() < 0.5 ? '4wd' : '2wd'
  const on = ground[surface]
  // The ranges are of the grip that drivers use, as a team reads it off a lap; a tire's peak lies above it by what they leave (read off the laps of
  // building seeds: with 1.15 to 1.3 the grip read was 0.9 of the range's).
  const mu = d.between(...on.mu) * d.between(1.27, 1.43)
  const pieces = drawTrack(d)
  const path = layPath(pieces, d.between(0.8, 1.6), d.between(0, 0.5))
  const kv = kind === 'modified' ? d.between(3300, 5200) : d.between(1900, 2700)
  // Kv² R of one frame of motor is nearly a constant (winding law); 22 mohm at 3000 rpm/V, a third either way.
  const windingOhm = 0.022 * (3000 / kv) ** 2 * d.between(0.75, 1.3)
  const radius = d.between(0.0405, 0.0425)
  const internalRatio = driven === '4wd' ? d.between(2.45, 2.6) : d.between(2.55, 2.7)
  const spur = kind === 'modified' ? 78 : 72
  // Geared for a no-load speed that such cars are geared for: some 15 to 19 m/s modified, 12 to 15 stock.
  const wanted = kind === 'modified' ? d.between(15, 19) : d.between(12, 15)
  const ratio = (((kv * 7.6) / 60) * 2 * Math.PI * radius) / wanted
  const pinion = Math.max(14, Math.min(45, Math.round((spur * internalRatio) / ratio)))
  const frontShare = driven === '4wd' ? d.between(0.43, 0.49) : d.between(0.35, 0.41)
  const shaped = () => {
    const shape = d.between(1.25, 1.55)
    return { shape, stiffness: Math.tan(Math.PI / (2 * shape)) }
  }
  const tire = (more: number) => ({
    mu: mu * more,
    loadSensitivity: d.between(0.02, 0.12),
    peakSlip: d.between(0.12, 0.25),
    // A 1.58 kg research car's tires reach 90% of their force at 10 to 15 degrees (DART, MIT, published fit): with these shapes about half of the
    // peak's angle, and 6 to 14 times the grip as stiffness per radian.
    peakAngle: Math.tan(d.between(0.24, 0.48)),
    ...shaped(),
  })
  const rear = tire(1)
  // Fronts hold less than rears, as such cars are set up so that the front lets go first.
  const front = { ...tire(d.between(0.82, 0.91)), peakAngle: rear.peakAngle * d.between(1.0, 1.25) }
  const massKg = driven === '4wd' ? d.between(1.59, 1.7) : d.between(1.5, 1.62)
  return {
    surface,
    kind,
    path,
    pieces,
    pinion,
    spur,
    internalRatio,
    raceSeconds: 300,
    car: {
      chassis: {
        massKg,
        // ForzaETH's 3.54 kg car has 0.058 kg m²: in proportion to mass.
        yawInertiaKgM2: massKg * d.between(0.012, 0.018),
        wheelbaseM: d.between(0.276, 0.29),
        frontShare,
        cgHeightM: d.between(0.045, 0.065),
        driven,
        tireRadiusM: radius,
        front,
        rear,
        rolling: d.between(...on.rolling),
        // 0.22 N s/m of 44 N on the measured steady speeds.
        rollingPerSpeed: d.between(0.001, 0.006),
        dragAreaM2: d.between(0.013, 0.028),
        liftAreaM2: d.between(0.003, 0.025),
        airDensity: d.between(1.13, 1.24),
        bumpsN: d.between(...on.bumpsN),
        finalDrive: (spur / pinion) * internalRatio,
        gearLoss: d.between(0.05, 0.12),
        gearNm: driven === '4wd' ? d.between(0.012, 0.045) : d.between(0.006, 0.03),
        rotorKgM2: d.between(6, 13) * 1e-7,
        wheelKgM2: d.between(4, 9) * 1e-5,
        brakeMost: d.between(0.9, 1.2) * (driven === '4wd' ? 1 : 0.6),
        pitchS: d.between(0.02, 0.05),
      },
      electrics: {
        kvRpmPerVolt: kv,
        windingOhm,
        formFactor2: d.between(1.02, 1.2),
        inductanceH: 1.0e-5 * (3000 / kv) ** 2 * d.between(0.6, 1.5),
        driveFrequencyHz: d.between(8000, 32_000),
        ...idle(d, kv, kind),
        lossPerDegree: d.between(0.01, 0.035),
        kvPerDegree: d.between(0.006, 0.014),
        timingDeg: 0,
        saturationA: d.between(140, 300) * (kv / 3000),
        magnetPerKelvin: -d.between(0.0009, 0.0012),
        bridgeOhm: d.between(0.4, 1.4) / 1000,
        deadTimeV: d.between(0.05, 0.35),
        switchingC: d.between(0.2, 1.2) * 1e-5,
        limitA: 300,
        accessoryA: d.between(0.5, 1.6),
        cells: 2,
        capacityAh: d.between(5, 6.6),
        packOhm: d.between(0.004, 0.0085) + d.between(0.0006, 0.0024),
        // Chen and Rincon-Mora's cell has short and long time constants of tens and hundreds of seconds.
        slow1Ohm: d.between(0.001, 0.003),
        slow1S: d.between(8, 40),
        slow2Ohm: d.between(0.001, 0.0045),
        slow2S: d.between(90, 400),
        startSoc: d.between(0.975, 1),
        restVolts: bent(d),
        returnShare: d.between(0.2, 0.8),
        returnHalfRadS: d.between(300, 1200),
        windingJPerK: d.between(9, 16),
        canJPerK: d.between(65, 100),
        windingToCanKPerW: d.between(0.4, 1.2),
        ...cooling(d),
        airC: d.between(12, 32),
        turbo: null,
      },
      driver: {
        nerve: d.between(0.86, 0.96),
        brakeNerve: d.between(0.75, 0.95),
        triggerLagS: d.between(0.03, 0.08),
        steerLagS: d.between(0.05, 0.09),
        uneven: d.between(0.005, 0.02),
        lateS: d.between(0, 0.03),
        caution: d.between(0.1, 0.45),
        slipTaken: d.between(0.6, 0.95),
        catches: d.between(1.3, 2.2),
        tailTaken: d.between(0.25, 0.4),
      },
    },
  }
}

/** No-load current at 7.4 V of such motors, 2 to 3.5 A stock and 3 to 7 A modified, split between a constant torque and one with speed. */
function idle(d: Draws, kv: number, kind: CarKind) {
  const kt = 60 / (2 * Math.PI * kv)
  const amps = kind === 'modified' ? d.between(3, 7) : d.between(2, 3.5)
  const eddyShare = d.between(0.2, 0.6)
  const omega = 7.4 / kt
  return { coulombNm: kt * amps * (1 - eddyShare), eddyNmS: (kt * amps * eddyShare) / omega }
}

/** A can in moving air by handbook correlations: 3 to 6 K/W at 3 m/s past it; half of that stays without wind. */
function cooling(d: Draws) {
  const atRace = 1 / d.between(2.8, 5.5)
  const still = atRace * d.between(0.3, 0.6)
  return { coolingWPerK: still, coolingPerRootSpeed: (atRace - still) / Math.sqrt(6) }
}

const bent = (d: Draws): [number, number][] => {
  const [a, b] = [0.015 * d.gauss() * 0.6, 0.015 * d.gauss() * 0.6]
  return pouch.map((v, i) => {
    const s = i / 20
    return [s, v + a * Math.sin(Math.PI * s) + b * Math.sin(2 * Math.PI * s)]
  })
}

/** A lap of eight to twelve pieces, straights and corners in turn, some rough, some with a jump; 60 to 150 m. */
function drawTrack(d: Draws): PathPiece[] {
  const pairs = 4 + Math.floor(d.even() * 3)
  const out: PathPiece[] = []
  for (let i = 0; i < pairs; i++) {
    const jump = d.even() < 0.25 ? d.between(0.1, 0.35) : 0
    out.push({
      lengthM: i === 0 ? d.between(16, 32) : d.between(5, 20),
      curvature: 0,
      grip: 1,
      rough: d.between(0.3, 1.7),
      jumpM: jump,
    })
    const radius = d.between(1.8, 5)
    const arc = d.between(50, 180)
    out.push({
      lengthM: (radius * arc * Math.PI) / 180,
      curvature: (d.even() < 0.65 ? 1 : -1) / radius,
      grip: d.between(0.94, 1.04),
      rough: d.between(0.3, 1.2),
      jumpM: 0,
    })
  }
  return out
}
