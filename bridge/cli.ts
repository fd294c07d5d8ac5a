#!/usr/bin/env node
import { Command, CommanderError, Help, Option } from 'commander';
import manifest from '../package.json' with { type: 'json' };
import {
  baudRate,
  ohmRange,
  positiveNumber,
  roomAddress,
  rowCount,
  seconds,
  seedNumber,
  setCount,
  statedValue,
  stationName,
  studentCount,
  tcpPort,
} from './commands/option-values.ts';
import type { ExitCode } from './commands/terminal.ts';
import { processTerminal } from './commands/terminal.ts';
import { LANGUAGES } from './messages/language.ts';
import { namesIn } from './run/about.ts';
import { DEFAULT_PROCEDURE, PROCEDURES } from './run/procedure.ts';

/**
 * The command line. A command's code is loaded when it is run and not before, so that help is there at once.
 * Exit codes: 0 done, 1 the work failed, 2 wrong use.
 */

const DEFAULT_HTTP_PORT = 7310;
const DEFAULT_MQTT_PORT = 1883;
const DEFAULT_BAUD = 115_200;
const DEFAULT_RHEOSTAT: [number, number] = [0, 20];
const DEFAULT_DRIVER_OHM = 0.5;
const DEFAULT_SETS = 4;
/** Long enough for every question to get its second, and for two unasked introductions. */
const CHECK_SECONDS = 30;

const httpPort = (flag: string) =>
  new Option(flag, 'port of the page; the next free one is taken')
    .default(DEFAULT_HTTP_PORT)
    .argParser(tcpPort);

const listen = () =>
  new Option('--listen [address]', 'let other machines in, with a token in the link (off by default)')
    .preset('0.0.0.0')
    .default(null);

const steeringCode = () =>
  new Option('--steering-code', 'with --listen: print the link that steers as a QR code, too').default(false);

const home = () =>
  new Option('--home <folder>', 'where recordings/ and benches/ lie')
    .env('TENWIRE_HOME')
    .default('.', 'the working folder');

const room = () =>
  new Option(
    '--room <address>',
    'the room of benches that this one belongs to, such as mqtt://192.0.2.10/physics-1',
  )
    .env('TENWIRE_ROOM')
    .argParser(roomAddress)
    .default(null);

const station = () =>
  new Option('--station <name>', 'what this computer is called in the room (default: its own name)')
    .argParser(stationName)
    .default(null);

const hideResults = () =>
  new Option(
    '--hide-results',
    'no result before the own working is handed in; prints the teacher’s link, which sees it',
  ).default(false);

const open = () => new Option('--open', 'open the page in the browser of this computer').default(false);

const byHand = () =>
  new Option('--by-hand', 'the hand at the simulated bench is yours, on the page')
    .default(false)
    .conflicts(['once', 'emulatedBoard']);

/** Without a default of its own: a run that goes on in a recording keeps the procedure which that states. */
const procedure = () =>
  new Option('--procedure <name>', `what is measured (default: ${DEFAULT_PROCEDURE})`).choices(PROCEDURES);

/** Something that is off, empty or left out unless asked for needs no word on its default. */
function optionDescription(this: Help, option: Option): string {
  const { defaultValue } = option;
  const isEmpty = Array.isArray(defaultValue) && defaultValue.length === 0;
  return defaultValue === false || defaultValue === null || isEmpty
    ? option.description
    : Help.prototype.optionDescription.call(this, option);
}

const names = (text: string, earlier: string[]): string[] => [...earlier, ...namesIn(text)];

let exitCode: ExitCode = 0;

const terminal = processTerminal();

function program(): Command {
  const tenwire = new Command('tenwire')
    .description('Finds balancing lengths on an instrumented stretched-wire potentiometer and compares EMFs.')
    .version(manifest.version)
    .exitOverride()
    .configureHelp({ optionDescription })
    .showHelpAfterError('(tenwire COMMAND --help says more)')
    .addHelpText('after', WAYS_TO_BEGIN);
  for (const add of COMMANDS) add(tenwire);
  return tenwire;
}

const WAYS_TO_BEGIN = `
Usual ways to begin:
  tenwire demo                      watch a whole run at a simulated bench
  tenwire serve                     describe your bench on the page, and begin runs there
  tenwire report recordings/*.rec   write the records of runs for printing
  tenwire doctor                    what this computer lacks, if anything`;

const example = (...lines: string[]): string =>
  ['', 'Example:', ...lines.map((line) => `  ${line}`)].join('\n');

function addDemo(tenwire: Command): void {
  tenwire
    .command('demo')
    .description('a simulated bench, without a board')
    .option('--once', 'end after the result', false)
    .option('--speed <times>', 'times real time (default: 10, with --emulated-board 3)', positiveNumber)
    .option('--seed <number>', 'the same seed gives the same run', seedNumber, 1)
    .option('--out <file>', 'where the recording goes (default: recordings/)')
    .option('--emulated-board', 'the reference firmware, emulated, at a pseudo-terminal (needs socat)', false)
    .addOption(
      new Option('--class <students>', 'a whole class of simulated benches, and the board that shows it')
        .argParser(studentCount)
        .conflicts(['emulatedBoard', 'byHand', 'plainBoard', 'room', 'out']),
    )
    .addOption(byHand())
    .addOption(procedure())
    .addOption(
      new Option('--plain-board', 'by hand, at a board that senses the currents and nothing else')
        .default(false)
        .conflicts(['once', 'emulatedBoard'])
        .implies({ byHand: true }),
    )
    .addOption(home())
    .addOption(httpPort('--http-port <port>'))
    .addOption(listen())
    .addOption(steeringCode())
    .addOption(room())
    .addOption(station())
    .addOption(hideResults())
    .addOption(open())
    .addHelpText('after', example('tenwire demo --once', 'tenwire demo --by-hand', 'tenwire demo --class 8'))
    .action(async ({ procedure: measured, speed, out, class: students, ...rest }) => {
      if (students !== undefined) {
        const { demoClass } = await import('./commands/demo-class.ts');
        const mqttPort = DEFAULT_MQTT_PORT;
        exitCode = await demoClass({ ...rest, students, speed: speed ?? null, mqttPort }, terminal);
        return;
      }
      const { demo } = await import('./commands/demo.ts');
      const absent = { procedure: measured ?? DEFAULT_PROCEDURE, speed: speed ?? null, out: out ?? null };
      exitCode = await demo({ ...rest, ...absent }, terminal);
    });
}

function addServe(tenwire: Command): void {
  tenwire
    .command('serve')
    .description(
      'the page without a run yet: to describe and calibrate a bench, and to begin runs from there',
    )
    .addOption(home())
    .addOption(httpPort('--http-port <port>'))
    .addOption(listen())
    .addOption(steeringCode())
    .addOption(room())
    .addOption(station())
    .addOption(hideResults())
    .addOption(open())
    .addHelpText('after', example('tenwire serve --home ~/physics'))
    .action(async (options) => {
      const { servePage } = await import('./commands/serve.ts');
      exitCode = await servePage(options, terminal);
    });
}

function addRun(tenwire: Command): void {
  tenwire
    .command('run')
    .description('a run on a bench with a board at a serial port')
    .requiredOption('--port <port>', 'serial port, such as /dev/ttyACM0 or COM3 ("tenwire ports" lists them)')
    .option('--bench <file>', 'bench file: what is known of the bench')
    .option('--out <file>', 'where the recording goes (default: recordings/)')
    .option('--resume', 'go on in the recording that --out names', false)
    .option('--by <names>', 'who is at the bench', names, [])
    .option('--temperature <celsius>', 'temperature at the bench, or "unknown"')
    .option('--baud <rate>', 'baud rate of the board', baudRate, DEFAULT_BAUD)
    .option('--rate <hz>', 'samples a second that the board is told to take', positiveNumber)
    .addOption(procedure())
    .addOption(home())
    .addOption(httpPort('--http-port <port>'))
    .addOption(listen())
    .addOption(steeringCode())
    .addOption(room())
    .addOption(station())
    .addOption(hideResults())
    .addOption(open())
    .addHelpText(
      'after',
      example('tenwire run --port /dev/ttyACM0 --bench benches/bench-4.json --by "A. Student"'),
    )
    .action(async ({ bench, out, temperature, rate, procedure: measured, ...rest }) => {
      const { run } = await import('./commands/run.ts');
      const absent = {
        bench: bench ?? null,
        out: out ?? null,
        temperature: temperature ?? null,
        procedure: measured ?? null,
      };
      exitCode = await run({ ...rest, ...absent, rate: rate ?? null }, terminal);
    });
}

function addRoom(tenwire: Command): void {
  tenwire
    .command('room')
    .description('a class of benches on one screen: collects their recordings, and shows who needs help')
    .option('--name <name>', 'what the room is called', stationName, 'physics')
    .option(
      '--broker <address>',
      'a broker that is there already, such as mqtts://broker.example:8883 (default: one of its own)',
    )
    .addOption(
      new Option('--mqtt-port <port>', 'port of its own broker; the next free one is taken')
        .default(DEFAULT_MQTT_PORT)
        .argParser(tcpPort),
    )
    .option(
      '--forget <station>',
      'lets another computer have this name (may be given several times)',
      (name: string, earlier: string[]) => [...earlier, stationName(name)],
      [],
    )
    .addOption(home())
    .addOption(httpPort('--http-port <port>'))
    .addOption(listen())
    .addOption(steeringCode())
    .addOption(open())
    .addHelpText('after', example('tenwire room --name physics-1 --listen'))
    .action(async ({ broker, ...options }) => {
      const { openClassRoom } = await import('./commands/room.ts');
      exitCode = await openClassRoom({ ...options, broker: broker ?? null }, terminal);
    });
}

function addReplay(tenwire: Command): void {
  tenwire
    .command('replay')
    .description('plays a recording back on the page')
    .argument('<file>', 'a recording')
    .option('--speed <times>', 'times real time', positiveNumber, 1)
    .addOption(home())
    .addOption(httpPort('--http-port <port>'))
    .addOption(listen())
    .addOption(steeringCode())
    .addOption(open())
    .addHelpText('after', example('tenwire replay recordings/bench-4.rec --speed 10'))
    .action(async (file, options) => {
      const { replay } = await import('./commands/replay.ts');
      exitCode = await replay(file, { ...options, room: null, station: null, hideResults: false }, terminal);
    });
}

function addReport(tenwire: Command): void {
  tenwire
    .command('report')
    .description('the record of a run: a page for printing, or tables and JSON')
    .argument('<files...>', 'recordings')
    .option('--json', 'one JSON object on standard output, for scripts', false)
    .option('--csv', 'a table of all the recordings given, with what the class found', false)
    .option('--short', 'the record on two sheets', false)
    .option('--sheet', 'the readings alone, with room to work out the result by hand', false)
    .option('--print', 'one page for print: what the class found, then the record of each run', false)
    .option('--stated <value,U>', 'what it should be, with U at 95 %, such as 1.1532,0.0004', statedValue)
    .option('--verify <report>', 'whether a report (JSON, or a page) was made from the recording and holds')
    .option('--observations', 'sets and nulls as CSV files with metadata', false)
    .option('--samples', 'every sample in the units of the bench, as CSV with metadata', false)
    .addOption(new Option('--language <code>', 'of pages for print').choices(LANGUAGES).default(LANGUAGES[0]))
    .option('--out <file>', 'where it goes, "-" for standard output (default: the page beside its recording)')
    .addHelpText(
      'after',
      example(
        'tenwire report recordings/bench-4.rec',
        'tenwire report --csv recordings/*.rec --out class.csv',
      ),
    )
    .action(async (files, options) => {
      const { REPORT_KINDS, report } = await import('./commands/report.ts');
      const { language, out = null, stated = null, verify = null } = options;
      const kinds = REPORT_KINDS.filter((kind) => options[kind]);
      exitCode = await report(files, { kinds, language, out, stated, verify }, terminal);
    });
}

function addPlan(tenwire: Command): void {
  tenwire
    .command('plan')
    .description(
      'plans a run: settings of the rheostat, where the nulls will lie, what uncertainty to expect',
    )
    .requiredOption(
      '--bench <file>',
      'bench file, with the voltmeter readings of both cells and the EMF of the driver',
    )
    .addOption(
      new Option('--rheostat <ohms>', 'its smallest and largest resistance, such as 2-15')
        .argParser(ohmRange)
        .default(DEFAULT_RHEOSTAT, DEFAULT_RHEOSTAT.join('-')),
    )
    .option(
      '--driver-resistance <ohm>',
      'internal resistance of the driver',
      positiveNumber,
      DEFAULT_DRIVER_OHM,
    )
    .option('--sets <number>', 'sets of observations', setCount, DEFAULT_SETS)
    .option('--json', 'for a script', false)
    .addHelpText('after', example('tenwire plan --bench benches/bench-4.json --rheostat 2-15'))
    .action(async (options) => {
      const { plan } = await import('./commands/plan.ts');
      exitCode = await plan(options, terminal);
    });
}

function addPorts(tenwire: Command): void {
  tenwire
    .command('ports')
    .description('lists the serial ports of this computer')
    .addHelpText('after', example('tenwire ports'))
    .action(async () => {
      const { ports } = await import('./commands/ports.ts');
      exitCode = await ports(terminal);
    });
}

function addEndCorrection(tenwire: Command): void {
  tenwire
    .command('end-correction')
    .description(
      'works out the end correction from a run with two voltages of known ratio in place of the cells',
    )
    .argument('<file>', 'the recording: the larger voltage as cell 1, both balanced in row 1')
    .requiredOption('--ratio <number>', 'larger voltage over the smaller one', positiveNumber)
    .requiredOption('--u-ratio <number>', 'its standard uncertainty', positiveNumber)
    .option('--json', 'for a script', false)
    .addHelpText('after', example('tenwire end-correction recordings/end.rec --ratio 2 --u-ratio 0.002'))
    .action(async (file, { ratio, uRatio, json }) => {
      const { endCorrection } = await import('./commands/end-correction.ts');
      exitCode = await endCorrection(file, { ratio, uRatio, json }, terminal);
    });
}

function addFlash(tenwire: Command): void {
  tenwire
    .command('flash')
    .description('writes the firmware to a board by its serial boot loader, and reads it back')
    .requiredOption('--port <port>', 'serial port of the board')
    .option('--image <file>', 'Intel HEX file (default: the firmware that comes with tenwire)')
    .addHelpText('after', example('tenwire flash --port /dev/ttyUSB0'))
    .action(async ({ port, image = null }) => {
      const { flash } = await import('./commands/flash.ts');
      exitCode = await flash({ port, image }, terminal);
    });
}

function addCheckBoard(tenwire: Command): void {
  tenwire
    .command('check-board')
    .description('listens to a board and says whether it keeps to the wire format')
    .requiredOption('--port <port>', 'serial port of the board')
    .option('--baud <rate>', 'baud rate of the board', baudRate, DEFAULT_BAUD)
    .option('--seconds <number>', 'how long to listen', seconds, CHECK_SECONDS)
    .option('--json', 'for a script', false)
    .option(
      '--self-test',
      'leads through a test of the front end with a dummy source, before any cell',
      false,
    )
    .option('--rows <number>', 'rows of the bench, for the self-test', rowCount, 10)
    .addHelpText('after', example('tenwire check-board --port /dev/ttyACM0'))
    .action(async ({ selfTest, ...options }) => {
      if (selfTest) {
        const { selfTestCommand } = await import('./commands/self-test.ts');
        exitCode = await selfTestCommand(options, terminal);
        return;
      }
      const { checkBoardCommand } = await import('./commands/check-board.ts');
      exitCode = await checkBoardCommand(options, terminal);
    });
}

function addDoctor(tenwire: Command): void {
  tenwire
    .command('doctor')
    .description('looks at ports, rights, folders, disk, Node, browser and room, and names what to do')
    .addOption(home())
    .addOption(room())
    .addOption(station())
    .addHelpText('after', example('tenwire doctor'))
    .action(async (options) => {
      const { doctor } = await import('./commands/doctor.ts');
      exitCode = await doctor(options, terminal);
    });
}

function addService(tenwire: Command): void {
  tenwire
    .command('service')
    .description(
      'for a small computer beside the bench (Linux): prints a systemd user unit and a udev rule that start the page',
    )
    .requiredOption('--print', 'on standard output; nothing is installed')
    .addOption(home())
    .addOption(httpPort('--http-port <port>'))
    .addOption(listen())
    .addOption(room())
    .addOption(station())
    .addOption(hideResults())
    .addHelpText(
      'after',
      example(
        'tenwire service --print --home /srv/bench-4 --room mqtt://192.0.2.10/physics-1 --station bench-4',
      ),
    )
    .action(async (options) => {
      const { service } = await import('./commands/service.ts');
      exitCode = service(options, terminal);
    });
}

const COMMANDS = [
  addDemo,
  addServe,
  addRun,
  addRoom,
  addReplay,
  addReport,
  addPlan,
  addPorts,
  addEndCorrection,
  addFlash,
  addCheckBoard,
  addDoctor,
  addService,
];

/** Wrong use, as commander sees it, is 2; asking for help is no mistake. */
async function main(): Promise<void> {
  // Whoever reads our output may have seen enough (`| head`): a run goes on, and what only prints is done anyway.
  for (const stream of [process.stdout, process.stderr]) stream.on('error', () => {});
  try {
    const tenwire = program();
    if (process.argv.length === 2) tenwire.outputHelp();
    else await tenwire.parseAsync();
  } catch (error) {
    if (!(error instanceof CommanderError)) throw error;
    exitCode = error.exitCode === 0 ? 0 : 2;
  }
  process.exitCode = exitCode;
}

await main();
