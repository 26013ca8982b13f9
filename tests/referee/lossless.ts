import type { RefereeCar } from './vehicle'

/** Without anything that resists or is lost, on a strong pack. */
export function lossless(car: RefereeCar): RefereeCar {
  const { chassis, electrics, driver } = car
  return {
    driver,
    chassis: {
      ...chassis,
      rolling: 0,
      rollingPerSpeed: 0,
      dragAreaM2: 0,
      liftAreaM2: 0,
      bumpsN: 0,
      gearLoss: 0,
      gearNm: 0,
    },
    electrics: {
      ...electrics,
      coulombNm: 0,
      eddyNmS: 0,
      accessoryA: 0,
      packOhm: 0,
      slow1Ohm: 0,
      slow2Ohm: 0,
      capacityAh: 1e6,
      magnetPerKelvin: 0,
      deadTimeV: 0,
      switchingC: 0,
    },
  }
}
