import type { IncomingMessage } from 'node:http';
import { describe, expect, it } from 'vitest';
import { type AccessRules, hostsFor, isLoopback, roleOf } from '../../bridge/serve/access.ts';

const from = (remoteAddress: string) => ({ socket: { remoteAddress } }) as IncomingMessage;
const tokens = { watch: 'watch-token', steer: 'steer-token' };
const rules = (given: AccessRules['tokens']): AccessRules => ({
  hosts: hostsFor(['::1'], 80),
  tokens: given,
  teacherToken: null,
  steererTeaches: false,
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

  it('makes a page a teacher’s by its token alone, from this machine or another, and none by asking', () => {
    const taught = { ...rules(tokens), teacherToken: 'teacher-token' };
    for (const address of ['127.0.0.1', '192.168.1.9']) {
      expect(roleOf(taught, from(address), 'teacher-token', 'steer')).toBe('teach');
      expect(roleOf(taught, from(address), 'teacher-token', 'watch')).toBe('watch');
    }
    expect(roleOf(taught, from('127.0.0.1'), '', 'steer')).toBe('steer');
    expect(roleOf(taught, from('192.168.1.9'), 'steer-token', 'steer')).toBe('steer');
    expect(roleOf(rules(tokens), from('127.0.0.1'), '', 'steer')).toBe('steer');
  });

  it('takes whoever steers a room of benches for its teacher', () => {
    const room = { ...rules(tokens), steererTeaches: true };
    expect(roleOf(room, from('127.0.0.1'), '', 'steer')).toBe('teach');
    expect(roleOf(room, from('192.168.1.9'), 'steer-token', 'steer')).toBe('teach');
    expect(roleOf(room, from('192.168.1.9'), 'watch-token', 'steer')).toBe('watch');
  });

  it('names hosts as browsers send them', () => {
    expect([...hostsFor(['::1', 'localhost'], 81)]).toEqual(['[::1]:81', 'localhost:81']);
    expect([...hostsFor(['::1'], 80)]).toEqual(['[::1]', '[::1]:80']);
  });
});
