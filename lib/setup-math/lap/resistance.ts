import { corneringDragN } from '../losses/cornering-drag'
import { rollingN } from '../losses/rolling'
import type { PreparedCar } from './prepared-car'
import type { SegmentTask } from './segment-task'

/** What holds the car back at a speed, N, each by its cause. */
export interface Resistance {
  drag: number
  rolling: number
  cornering: number
  bumps: number
  jump: number
}

type Ground = Pick<SegmentTask, 'cornerSpeedMps' | 'radiusM' | 'bumpsN' | 'jumpN'>

export function resistanceAt(car: PreparedCar, task: Ground, v: number, out: Resistance): number {
  const v2 = v * v
  out.drag = car.dragPerSpeed2 * v2
  out.rolling = rollingN(car.rolling, car.rollingPerSpeed, v, car.weightN + car.liftPerSpeed2 * v2)
  out.bumps = task.bumpsN
  out.jump = task.jumpN
  out.cornering = 0
  if (car.peakAngleRad > 0 && task.radiusM !== Infinity) {
    const use = Math.min(1, v2 / task.cornerSpeedMps ** 2)
    out.cornering = corneringDragN((car.massKg * v2) / task.radiusM, use, car.peakAngleRad)
  }
  return out.drag + out.rolling + out.cornering + out.bumps + out.jump
}

export const noResistance = (): Resistance => ({ drag: 0, rolling: 0, cornering: 0, bumps: 0, jump: 0 })
