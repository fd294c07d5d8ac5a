#!/usr/bin/env node
import { Command, CommanderError, Option } from 'commander';
import manifest from '../package.json' with { type: 'json' };
import { baudRate, positiveNumber, seedNumber, tcpPort } from './commands/option-values.ts';
import type { ExitCode } from './commands/terminal.ts';
import { processTerminal } from './commands/terminal.ts';

/**
 * The command line. A command's code is loaded when it is run and not before, so that help is there at once.
 * Exit codes: 0 done, 1 the work failed, 2 wrong use.
 */

const DEFAULT_HTTP_PORT = 7310;
const DEMO_SPEED = 10;

const httpPort = () =>
  new Option('--http-port <port>', 'port of the page; the next free one is taken')
    .default(DEFAULT_HTTP_PORT)
    .argParser(tcpPort);

const list = (text: string, earlier: string[]): string[] => [
  ...earlier,
  ...text.split(',').map((name) => name.trim()),
];

let exitCode: ExitCode = 0;

const terminal = processTerminal();

function program(): Command {
  const tenwire = new Command('tenwire')
    .description('Finds balancing lengths on an instrumented stretched-wire potentiometer and compares EMFs.')
    .version(manifest.version)
    .exitOverride()
    .showHelpAfterError('(tenwire COMMAND --help says more)');
  addDemo(tenwire);
  addRun(tenwire);
  addReplay(tenwire);
  addReport(tenwire);
  addPorts(tenwire);
  return tenwire;
}

function addDemo(tenwire: Command): void {
  tenwire
    .command('demo')
    .description('a simulated bench, without a board')
    .option('--once', 'end after the result', false)
    .option('--speed <times>', 'times real time', positiveNumber, DEMO_SPEED)
    .option('--seed <number>', 'the same seed gives the same run', seedNumber, 1)
    .option('--out <file>', 'where the recording goes (default: recordings/)')
    .addOption(
      new Option('--port <port>', 'port of the page; the next free one is taken')
        .default(DEFAULT_HTTP_PORT)
        .argParser(tcpPort),
    )
    .action(async (options) => {
      const { demo } = await import('./commands/demo.ts');
      exitCode = await demo(
        {
          once: options.once,
          speed: options.speed,
          httpPort: options.port,
          seed: options.seed,
          out: options.out ?? null,
        },
        terminal,
      );
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
    .option('--by <names>', 'who is at the bench', list, [])
    .option('--temperature <celsius>', 'temperature at the bench, or "unknown"')
    .option('--baud <rate>', 'baud rate of the board', baudRate, 115_200)
    .option('--rate <hz>', 'samples a second that the board is told to take', positiveNumber)
    .addOption(
      new Option('--procedure <name>', 'what is measured')
        .choices(['emf-comparison', 'internal-resistance'])
        .default('emf-comparison'),
    )
    .addOption(httpPort())
    .action(async (options) => {
      const { run } = await import('./commands/run.ts');
      exitCode = await run(
        {
          ...options,
          bench: options.bench ?? null,
          out: options.out ?? null,
          temperature: options.temperature ?? null,
          rate: options.rate ?? null,
        },
        terminal,
      );
    });
}

function addReplay(tenwire: Command): void {
  tenwire
    .command('replay')
    .description('plays a recording back on the page')
    .argument('<file>', 'a recording')
    .option('--speed <times>', 'times real time', positiveNumber, 1)
    .addOption(httpPort())
    .action(async (file, options) => {
      const { replay } = await import('./commands/replay.ts');
      exitCode = await replay(file, options, terminal);
    });
}

function addReport(tenwire: Command): void {
  tenwire
    .command('report')
    .description('what a recording says')
    .argument('<files...>', 'recordings')
    .option('--json', 'one JSON object on standard output', false)
    .action(async (files, options) => {
      const { report } = await import('./commands/report.ts');
      exitCode = await report(files, options, terminal);
    });
}

function addPorts(tenwire: Command): void {
  tenwire
    .command('ports')
    .description('lists the serial ports of this computer')
    .action(async () => {
      const { ports } = await import('./commands/ports.ts');
      exitCode = await ports(terminal);
    });
}

/** Wrong use, as commander sees it, is 2; asking for help is no mistake. */
async function main(): Promise<void> {
  // Whoever reads our output may have seen enough (`| head`).
  process.stdout.on('error', () => process.exit(0));
  try {
    await program().parseAsync();
  } catch (error) {
    if (!(error instanceof CommanderError)) throw error;
    exitCode = error.exitCode === 0 ? 0 : 2;
  }
  process.exitCode = exitCode;
}

await main();
