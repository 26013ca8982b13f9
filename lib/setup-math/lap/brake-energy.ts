import type { PreparedCar } from './prepared-car'

/** Where the energy of one braking goes, J, and what it gives back. */
export interface BrakeEnergy {
  driveLossJ: number
  windingJ: number
  controllerJ: number
  canJ: number
  /** Into the pack's terminals. */
  returnedJ: number
}

/**
 * The motor is the brake of an electric car. Of what reaches it through the gears, `brakeReturnShare` goes back into the pack (its size is the
 * controller's secret: a stated share that the team learns); of the rest, copper and controller take I² R at the current that the brake torque asks for,
 * the rest stays as iron loss in the can. Where I² R asks for more than there is, they share what there is.
 * Source: energy balance of an electric brake; that a share comes back is common practice, its size has no source.
 *
 * @param brakeJ mechanical energy taken at the wheels, J
 * @param meanForceN mean force at the tire's contact, N
 */
export function brakeEnergy(
  car: PreparedCar,
  brake: { brakeJ: number; meanForceN: number; seconds: number; windingOhm: number },
): BrakeEnergy {
  const atMotor = Math.max(0, brake.brakeJ) * car.efficiency
  const returnedJ = atMotor * car.brakeReturnShare
  const left = atMotor - returnedJ
  const amps = (brake.meanForceN * car.efficiency) / (car.ktNmPerA * car.motorPerSpeed)
  const copper = amps * amps * brake.windingOhm * brake.seconds
  const bridge = amps * amps * car.controllerOhm * brake.seconds
  const fits = copper + bridge > left ? left / (copper + bridge) : 1
  return {
    driveLossJ: brake.brakeJ - atMotor,
    windingJ: copper * fits,
    controllerJ: bridge * fits,
    canJ: left - (copper + bridge) * fits,
    returnedJ,
  }
}
