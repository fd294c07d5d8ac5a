import type { IncomingMessage } from 'node:http';
import { describe, expect, it } from 'vitest';
import { type AccessRules, hostsFor, isLoopback, roleOf } from '../../bridge/serve/access.ts';

const from = (remoteAddress: string) => ({ socket: { remoteAddress } }) as IncomingMessage;
const tokens = { watch: 'watch-token', steer: 'steer-token' };
const rules = (given: AccessRules['tokens']): AccessRules => ({
  hosts: hostsFor(['::1'], 80),
  tokens: given,
});

describe('roles', () => {
  it('gives this machine what it asks for', () => {
    for (const address of ['127.0.0.1', '127.8.9.1', '::1', '::ffff:127.0.0.1']) {
      expect(roleOf(rules(null), from(address), '', 'steer')).toBe('steer');
      expect(roleOf(rules(tokens), from(address), '', 'watch')).toBe('watch');
    }
  });

  it('lets nobody else in without a token', () => {
    for (const address of ['192.168.1.9', '::ffff:192.168.1.9', '128.0.0.1', 'fe80::1', '127.0.0.1.evil']) {
      expect(isLoopback(address)).toBe(false);
      expect(roleOf(rules(null), from(address), 'steer-token', 'steer')).toBeNull();
      for (const token of ['', 'steer-toke', 'steer-token ', 'STEER-TOKEN']) {
        expect(roleOf(rules(tokens), from(address), token, 'watch')).toBeNull();
      }
    }
  });

  it('never lets the watching token steer', () => {
    expect(roleOf(rules(tokens), from('192.168.1.9'), 'watch-token', 'steer')).toBe('watch');
    expect(roleOf(rules(tokens), from('192.168.1.9'), 'steer-token', 'steer')).toBe('steer');
    expect(roleOf(rules(tokens), from('192.168.1.9'), 'steer-token', 'watch')).toBe('watch');
  });

  it('names hosts as browsers send them', () => {
    expect([...hostsFor(['::1', 'localhost'], 81)]).toEqual(['[::1]:81', 'localhost:81']);
    expect([...hostsFor(['::1'], 80)]).toEqual(['[::1]', '[::1]:80']);
  });
});
