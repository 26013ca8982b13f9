/** What to enter: a typical figure, where to read it, and what is lost while the field is blank. */
interface FieldHint {
  /** As it is typed, with its unit. Of 1/10 electric off-road cars; common practice, no source. */
  typical: string
  where: string
  blank: string
}

const h = (typical: string, where: string, blank: string): FieldHint => ({ typical, where, blank })

/** By collection and field. Typical figures are examples, not advice: common practice, no source. */
export const FIELD_HINTS: Readonly<Record<string, Readonly<Record<string, FieldHint>>>> = {
  cars: {
    wheelsUpCurrentA: h(
      '8 A',
      'At full throttle, once it is steady, less what receiver and fan draw at rest. A second or two is enough: tires grow and throw what is on them',
      'a usual driveline is assumed',
    ),
    wheelsUpRpm: h(
      '30000 rpm',
      'Of the motor, as the speed control logs it',
      'the wheels-up reading is not used',
    ),
    wheelsUpTimingDeg: h('20°', 'Can and speed control together', 'as assigned on the card'),
    wheelsUpPinion: h('22 t', 'The pinion that was on', 'as assigned on the card'),
    runs: h('40', 'From your log; each heat’s finish adds one', 'counted from 0 for service'),
    runMinutes: h('200 min', 'From your log; each heat’s finish adds its time', 'counted from 0 for service'),
    weightG: h(
      '1600 g',
      'On a scale, with pack, body and transponder',
      'a usual weight is assumed, with a wide ±',
    ),
    wheelbaseMm: h(
      '285 mm',
      'Measured between the axles, or in the car’s manual',
      'a usual length is assumed',
    ),
    cgHeightMm: h('54 mm', 'Worked out under Tools from a raised axle', 'a usual height is assumed'),
    frontSharePercent: h(
      '40%',
      'Front wheels on one scale, rear wheels on another',
      'a usual share is assumed',
    ),
    internalRatio: h(
      '2.6',
      'In the car’s manual: spur shaft to wheels',
      '2.5 or 2.6 is assumed, with a wide ±',
    ),
    gearModuleMm: h(
      '0.5 mm',
      'On the pinion; pitch 48 is module 0.529',
      'gear pairs are not checked for fit',
    ),
    slotMinMm: h(
      '24 mm',
      'Measured shaft to shaft, motor as close as it goes',
      'gear pairs are not checked for fit',
    ),
    slotMaxMm: h(
      '34 mm',
      'Measured shaft to shaft, motor as far as it goes',
      'gear pairs are not checked for fit',
    ),
    driveEfficiency: h(
      '85%',
      'Rarely measured: share of the motor’s power at the wheels',
      'a usual share is assumed',
    ),
    dragAreaM2: h('0.02 m²', 'From a coast-down; rarely measured', 'a usual area is assumed'),
    rollingCoefficient: h('0.04', 'From a coast-down: pull over weight', 'a usual figure is assumed'),
    wheelInertiaKgM2: h(
      '0.00006 kg·m²',
      'From a wheel hung on two threads; rarely measured',
      'a usual figure is assumed',
    ),
  },
  packs: {
    cells: h('2', 'On the case: 7.4 V are two cells', 'the plan can’t use it in a class with a cell count'),
    capacityMah: h('5000 mAh', 'On the case', 'no charge time, and so no charge plan'),
    resistanceMilliohm: h(
      '4 mΩ',
      'Most chargers show it, per cell or of the pack: enter the whole pack',
      'the plan can’t tell strong packs from weak ones',
    ),
    resistanceAtC: h(
      '22°C',
      'Of the pack when its resistance was read: a cold pack reads higher',
      'the resistance counts as read on a warm pack',
    ),
    maxChargeC: h(
      '2 C',
      'On the case or in the maker’s sheet; the event’s rules may allow less',
      'charged at 1 C at most',
    ),
    cycles: h('40', 'From your log, or from the charger', 'counted from 0, so wear is not spread'),
    weightG: h('300 g', 'On a scale, with its leads', 'a pack of another weight calls for no check'),
    leaveMilliohm: h(
      '8 mΩ',
      'Your own: internal resistance of the whole pack, from which it is for practice only',
      'twice its first readings, common practice without a source',
    ),
    leaveCapacityPercent: h(
      '80%',
      'Your own: share of its label’s capacity, under which it is for practice only',
      '80%, common practice without a source',
    ),
  },
  tireSets: {
    diameterMm: h(
      '83 mm',
      'Measured on the car, tread included',
      '83 mm is assumed unless the card has it, with a wide ±',
    ),
    runs: h('3', 'From your log; each heat adds one', 'counted from 0'),
    runsGood: h('12', 'Your own: after this many a set counts as worn', 'nothing is said about worn sets'),
  },
  motors: {
    turns: h('7.5 T', 'On the can or its label', 'a missing Kv can’t be taken from a motor like it'),
    kvRpmPerVolt: h(
      '4500 rpm/V',
      'In the maker’s sheet, or measured without load',
      'no top speed, no lap, no temperature, unless a motor of as many turns has it',
    ),
    resistanceMilliohm: h(
      '12 mΩ',
      'In the maker’s sheet, or by a milliohm meter',
      'no lap and no temperature, unless a motor of as many turns has it',
    ),
    noLoadCurrentA: h(
      '4 A',
      'In the maker’s sheet, or in a short run without load',
      'a usual loss is assumed',
    ),
    noLoadTimingDeg: h('20°', 'Timing at which Kv and no-load current were read', '30° is assumed'),
    noLoadVolts: h('7.4 V', 'At the motor’s leads while it ran', 'the no-load speed tells no Kv'),
    noLoadRpm: h(
      '32000 rpm',
      'As the speed control logs it; with voltage and current it gives Kv, where none is entered',
      'Kv has to be entered',
    ),
    secondTimingDeg: h(
      '30°',
      'Ten degrees or more from the first reading',
      'the gain in Kv per degree is assumed',
    ),
    secondVolts: h(
      '7.4 V',
      'At the motor’s leads during the second reading',
      'the second reading is not used',
    ),
    secondRpm: h('36000 rpm', 'As the speed control logs it', 'the gain in Kv per degree is assumed'),
    secondCurrentA: h('5 A', 'Once it is steady', 'how the loss rises with timing is assumed'),
    rotorInertiaGCm2: h('10 g·cm²', 'In the maker’s sheet; rarely given', 'a usual figure is assumed'),
  },
  controllers: {
    resistanceMilliohm: h('0.7 mΩ', 'In the maker’s sheet', 'a usual figure is assumed'),
    currentLimitA: h('120 A', 'In the maker’s sheet, or your own setting', 'no limit is counted'),
  },
  chargers: {
    channels: h('2', 'Packs that it charges at once', 'counted as 1'),
    channelCurrentA: h('10 A', 'On the charger’s plate, per channel', 'counted as 10 A'),
    channelPowerW: h('200 W', 'On the charger’s plate, per channel', 'counted as 200 W'),
  },
  supplies: {
    powerW: h('600 W', 'On its plate, continuous', 'no limit is counted: a breaker may trip'),
  },
}

/** `Such as 1600 g. On a scale, with pack, body and transponder. Blank: a usual weight is assumed, with a wide ±.` */
export function fieldHint(collection: string, field: string): string | undefined {
  const hint = FIELD_HINTS[collection]?.[field]
  return hint && `Such as ${hint.typical}. ${hint.where}. Blank: ${hint.blank}.`
}
