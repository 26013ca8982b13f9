import type { ToleranceName } from './tolerances'

/** Where an outside value comes from. */
export interface Source {
  name: string
  /** Publication found and read; definition; computed by an outside program; recalled without the page at hand. */
  basis: 'published' | 'definition' | 'computed outside' | 'from memory'
}

export interface ReferenceRow {
  what: string
  unit: string
  outside: number
  source: Source
  tolerance: ToleranceName
  /** The library's own answer; the referee's where `what` says so. */
  model: () => number
}

export const sources = {
  arithmetic: { name: 'arithmetic', basis: 'definition' },
  gripTimesG: { name: '0.8 × 9.80665 m/s² (3rd CGPM), by hand', basis: 'definition' },
  gearFormula: { name: 'gear formula m (z1 + z2)/2, module = 25.4/DP', basis: 'definition' },
  khk: { name: 'KHK, Gear Technical Reference, table 4.1 (standard spur gears)', basis: 'from memory' },
  maxonRe30: {
    name: 'maxon catalogue row, 48 V RE 30 (type from memory), as copied 2016',
    basis: 'published',
  },
  maxonRe40: { name: 'maxon catalogue, RE 40, 24 V and 48 V windings', basis: 'published' },
  maxonRe40Row: { name: 'maxon catalogue, RE 40 rows 148867 (24 V) and 148877 (48 V)', basis: 'from memory' },
  magmotor: { name: 'Magmotor C40-E-300FX data sheet', basis: 'published' },
  iec60034: { name: 'IEC 60034-1, copper’s 234.5 °C rule', basis: 'from memory' },
  johnson: { name: 'A. M. Johnson, Motor Thermal Calculator (CMU, CC BY 4.0)', basis: 'published' },
  cylinderExamples: {
    name: 'boardflare.com, NU_CYL_CB: cylinder in cross flow, worked examples',
    basis: 'published',
  },
  airTable: {
    name: 'nzifst.org.nz, Unit Operations, appendix 6, air (after Fishenden, Saunders)',
    basis: 'published',
  },
  scipy: { name: 'SciPy 1.17.1 DOP853 at rtol 1e-12 (scripts/launches.py)', basis: 'computed outside' },
  closedForm: {
    name: 'closed form beside SciPy DOP853 at rtol 1e-12 (scripts/closed_forms.py)',
    basis: 'computed outside',
  },
  heatScript: {
    name: 'SciPy 1.17.1 DOP853 at rtol 1e-12 (scripts/two_node_heat.py)',
    basis: 'computed outside',
  },
  loadTransfer: {
    name: 'statics of a rear-driven car with our own inputs (scripts/closed_forms.py)',
    basis: 'computed outside',
  },
  pybamm: {
    name: 'PyBaMM, parameter set Ai2020 (LCO pouch), lithium-balanced 3.0/4.2 V',
    basis: 'published',
  },
  computed: {
    name: 'NumPy and SciPy from that table: Ohm’s law, quadrature of the taper (scripts/pack_rows.py)',
    basis: 'computed outside',
  },
  wattHour: {
    name: 'watt = volt times ampere, SI Brochure, table 4; the product by hand',
    basis: 'definition',
  },
  airRules: { name: 'IATA DGR 2.3 / FAA PackSafe passenger rules', basis: 'published' },
  raisedAxle: {
    name: 'statics of a tilted rigid body (scripts/raised_axle.py)',
    basis: 'computed outside',
  },
  forum: { name: 'worked example, engineering forum 2013', basis: 'published' },
  machinecalcs: { name: 'machinecalcs.com, suspension wheel rate, worked example', basis: 'published' },
  halliday: {
    name: 'Halliday/Resnick/Walker, Fundamentals of Physics, ch. 15, 2000 kg car',
    basis: 'from memory',
  },
  nist811: { name: 'NIST SP 811 (2008), appendix B.8', basis: 'published' },
  nistStrd: { name: 'NIST StRD, univariate summary statistics, NumAcc1-4', basis: 'published' },
  norris: { name: 'NIST StRD, linear regression, Norris', basis: 'from memory' },
  madExample: { name: 'mathbz.com, median absolute deviation, worked examples', basis: 'published' },
  madWiki: { name: 'Wikipedia, Median absolute deviation, example', basis: 'from memory' },
  normalTable: { name: 'standard normal table, NIST e-Handbook 1.3.6.7.1', basis: 'from memory' },
  openstaxCurve: {
    name: 'OpenStax University Physics 1, example 6.15 (900 kg car, 500 m curve, 25 m/s)',
    basis: 'from memory',
  },
  openstaxBrakes: {
    name: 'OpenStax College Physics, example 2.14 (stopping from 30 m/s)',
    basis: 'from memory',
  },
  dynamometer: {
    name: 'pvandervelde/electrical-motor-data, commit 39f685fa (Apache-2.0), dynamometer curves of three brushless machines',
    basis: 'published',
  },
  steadyCar: {
    name: 'wowowowooon/Roboracer-2026, commit 544f6e2b: controller log of a 1/10 four-wheel-drive research car, steady speeds computed from it',
    basis: 'published',
  },
  dart: {
    name: 'Lorenzo-Lyons/DART, commit 4b525232 (MIT): published fit of the drag while steering, 1.58 kg car',
    basis: 'published',
  },
  cellTables: {
    name: 'resistance tables of two lithium cells as read in open code, provenance not verified',
    basis: 'published',
  },
  burckhardt: {
    name: 'Burckhardt 1993, in Kiencke, Nielsen, Automotive Control Systems: curve parameters, and the peaks told of them',
    basis: 'from memory',
  },
  gillespie: {
    name: 'Gillespie, Fundamentals of Vehicle Dynamics, ch. 2, traction-limited acceleration, example (locked differential)',
    basis: 'from memory',
  },
  wong: {
    name: 'Wong, Theory of Ground Vehicles, ch. 5, example: steady-state handling of a passenger car',
    basis: 'from memory',
  },
  anderson: {
    name: 'Anderson, Fundamentals of Aerodynamics, ch. 5, example: aspect ratio 8, delta 0.055',
    basis: 'from memory',
  },
  incropera: {
    name: 'Incropera, Fundamentals of Heat and Mass Transfer, ch. 7, example of a heated cylinder in a wind tunnel',
    basis: 'from memory',
  },
  chen: {
    name: 'Chen, Rincon-Mora, IEEE Trans. Energy Conversion 21 (2006), the cell’s parameters from memory; sag by SciPy (scripts/cell_pairs.py)',
    basis: 'computed outside',
  },
  zuo: {
    name: 'Zuo, Zhang (2013): 100 to 400 W in the suspensions of a middle-size car at 60 mph on good and average roads; classes of ISO 8608, tires of 182 kN/m',
    basis: 'from memory',
  },
  magnetCurves: {
    name: 'advancedmagnets.com, temperature coefficients of permanent magnets: demagnetization curves of N48SH',
    basis: 'published',
  },
  magnetGrades: {
    name: 'en.shanghaimagnet.com, table of NdFeB grades, N and M series',
    basis: 'published',
  },
  maxonFlat: { name: 'maxon catalogue, EC 45 flat, 70 W, 24 V winding', basis: 'from memory' },
  mohan: {
    name: 'Mohan, Undeland, Robbins, Power Electronics, ch. 7, ripple of a chopper',
    basis: 'from memory',
  },
  sailingTies: {
    name: 'Misconduct, a Reference for Race Officials, p. 105: examples of Racing Rules of Sailing A8.1 and A8.2',
    basis: 'published',
  },
  sailingRaceTie: {
    name: 'Racing Rules of Sailing A7, with the example of a results forum (4 + 5 + 6)/3',
    basis: 'published',
  },
  sailingNoStart: { name: 'Racing Rules of Sailing A4.2 (A5.2 since 2021)', basis: 'published' },
  grandPrix1988: {
    name: 'Formula One season 1988, totals and dropped scores as published; the order of the races within it from memory',
    basis: 'published',
  },
  bobsleigh2018: {
    name: 'Bobsleigh at the 2018 Winter Olympics, two-man: runs and totals of five sleds',
    basis: 'published',
  },
  rallyTies: {
    name: 'juwra.com, tie-breaking rules of the rally tables, examples 1 and 2',
    basis: 'published',
  },
  golfLeague: {
    name: 'teeno.nl, points of a golf league, its example of three in second place',
    basis: 'published',
  },
  roboticsLeague: {
    name: 'Student Robotics rulebook as quoted with its example by league-ranker (PyPI)',
    basis: 'published',
  },
} as const satisfies Record<string, Source>
