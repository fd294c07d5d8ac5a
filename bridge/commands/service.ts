import { join, resolve } from 'node:path';
import { fileURLToPath } from 'node:url';
import type { PageOptions } from './serve-sessions.ts';
import type { ExitCode, Terminal } from './terminal.ts';

/** A udev rule and a systemd user unit for a computer that does nothing but serve one bench. */

/** USB converters that boards carry: their makers' numbers, as the kernel's drivers list them. */
const USB_VENDORS = ['2341', '1a86', '0403', '10c4', '067b'];

type ServiceOptions = Pick<PageOptions, 'home' | 'httpPort' | 'listen' | 'room' | 'station' | 'hideResults'>;

const UNIT_NAME = 'tenwire.service';
/** Lines such as TENWIRE_ROOM_TOKEN=...; it may be absent. */
const ROOM_SECRETS = 'room.env';

export function service(options: ServiceOptions, terminal: Terminal): ExitCode {
  const command = [
    process.execPath,
    fileURLToPath(new URL('./cli.js', import.meta.url)),
    ...argumentsOf(options),
  ];
  for (const line of [...udevRule(), '', ...unit(command, resolve(options.home))]) terminal.out(line);
  return 0;
}

const argumentsOf = ({ home, httpPort, listen, room, station, hideResults }: ServiceOptions): string[] => [
  'serve',
  '--home',
  resolve(home),
  '--http-port',
  String(httpPort),
  ...(listen === null ? [] : ['--listen', listen]),
  ...(room === null ? [] : ['--room', `${room.broker}/${room.room}`]),
  ...(station === null ? [] : ['--station', station]),
  ...(hideResults ? ['--hide-results'] : []),
];

/** In a unit a percent sign begins a specifier and a dollar sign a variable (systemd.unit(5), systemd.service(5)). */
const quoted = (text: string): string =>
  `"${text.replace(/[\\"]/g, '\\$&').replaceAll('%', '%%').replaceAll('$', '$$$$')}"`;

function udevRule(): string[] {
  return [
    '# /etc/udev/rules.d/70-tenwire.rules (then: sudo udevadm control --reload)',
    '# Whoever sits at this computer may open the board.',
    ...USB_VENDORS.map(
      (vendor) =>
        `SUBSYSTEM=="tty", ATTRS{idVendor}=="${vendor}", TAG+="uaccess", TAG+="systemd", GROUP="dialout", MODE="0660"`,
    ),
  ];
}

function unit(command: readonly string[], home: string): string[] {
  return [
    `# ~/.config/systemd/user/${UNIT_NAME} (then: systemctl --user enable --now ${UNIT_NAME}; loginctl enable-linger)`,
    '[Unit]',
    'Description=tenwire serves a potentiometer bench',
    'StartLimitIntervalSec=0',
    '',
    '[Service]',
    `ExecStart=${command.map(quoted).join(' ')}`,
    // Secrets stand in a file that its user alone may read, not in the unit.
    `EnvironmentFile=-${join(home, ROOM_SECRETS).replaceAll('%', '%%')}`,
    `WorkingDirectory=${home.replaceAll('%', '%%')}`,
    'Restart=always',
    'RestartSec=2',
    '',
    '[Install]',
    'WantedBy=default.target',
  ];
}
