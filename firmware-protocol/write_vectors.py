"""Writes vectors.json: lines of wire format 1 and what each must decode to.

The CRCs come from binascii.crc_hqx of Python's standard library, which shares nothing with this project's code. What
each line must decode to is written down here by hand, from SPEC.md. Python 3.8 or later; from the repository's root:

    python3 firmware-protocol/write_vectors.py > firmware-protocol/vectors.json
    npx biome format --write firmware-protocol/vectors.json
"""

import binascii
import json


def crc(payload, initial=0xFFFF):
    return "%04X" % binascii.crc_hqx(payload.encode("latin1"), initial)


def seal(payload):
    return payload + "*" + crc(payload)


# What lines decode to.


def hello(board, firmware, rate_hz, senses):
    return {"type": "H", "board": board, "firmware": firmware, "rateHz": rate_hz, "senses": senses}


def channel(index, name, least, most):
    return {"type": "C", "index": index, "channel": name, "minCount": least, "maxCount": most}


def sample(seq, t_us, gal, pos, drv, row, flags):
    return {"type": "S", "seq": seq, "tUs": t_us, "gal": gal, "pos": pos, "drv": drv, "row": row, "flags": flags}


def event(t_us, name, argument=None):
    return {"type": "E", "tUs": t_us, "name": name, "argument": argument}


def accepted(command):
    return {"type": "A", "command": command}


def refused(command, reason):
    return {"type": "X", "command": command, "reason": reason}


def rate(rate_hz):
    return {"type": "R", "rateHz": rate_hz}


def other(name):
    return {"type": "other", "name": name}


def bad(reason, field=None):
    return {"type": "bad", "reason": reason, "field": field}


# Whole and sound lines: note, payload, frame.
GOOD = [
    ("a hello with everything wired", "H,1,bench-4,tenwire-1.0,200,1F", hello("bench-4", "tenwire-1.0", 200, 31)),
    ("the longest name of a board, a rate with decimals", "H,1,ABCDEFGHabcdef-9,x y/z (2),166.667,00", hello("ABCDEFGHabcdef-9", "x y/z (2)", 166.667, 0)),
    ("hexadecimal digits in lower case are read", "H,1,b,f,50,1f", hello("b", "f", 50, 31)),
    ("fields after the last one known are skipped", "H,1,b,f,50,01,later,fields", hello("b", "f", 50, 1)),
    ("a channel", "C,0,gal,0,4092", channel(0, "gal", 0, 4092)),
    ("a signed span", "C,2,drv,-32768,32767", channel(2, "drv", -32768, 32767)),
    ("a channel that this version does not know still decodes", "C,3,temp,0,1023", channel(3, "temp", 0, 1023)),
    ("a sample", "S,0,0,2048,1020,1200,8,0B", sample(0, 0, 2048, 1020, 1200, 8, 11)),
    ("the largest of everything", "S,65535,4294967295,4095,4095,4095,20,1F", sample(65535, 4294967295, 4095, 4095, 4095, 20, 31)),
    ("no position, no driver current", "S,7,35000,2047,,,0,00", sample(7, 35000, 2047, None, None, 0, 0)),
    ("a board with no channel at all", "S,7,35000,,,,0,00", sample(7, 35000, None, None, None, 0, 0)),
    ("counts below zero", "S,9,45000,-2147483648,-1,2147483647,3,03", sample(9, 45000, -2147483648, -1, 2147483647, 3, 3)),
    ("minus nought is nought", "S,9,45000,-0,0,0,3,03", sample(9, 45000, 0, 0, 0, 3, 3)),
    ("leading noughts", "S,0009,00045000,02047,,,07,01", sample(9, 45000, 2047, None, None, 7, 1)),
    ("flag bits that this version does not know are kept", "S,1,2,3,4,5,6,FF", sample(1, 2, 3, 4, 5, 6, 255)),
    ("a later version's extra field", "S,1,2,3,4,5,6,01,99", sample(1, 2, 3, 4, 5, 6, 1)),
    ("the mark button", "E,1234567,mark", event(1234567, "mark")),
    ("samples that could not be sent", "E,4294967295,overrun,12", event(4294967295, "overrun", "12")),
    ("an event that this version does not know", "E,5,lamp,on,bright", event(5, "lamp", "on")),
    ("a command accepted", "A,?", accepted("?")),
    ("a command accepted, with its argument", "A,R,200", accepted("R,200")),
    ("a command refused; a reason may hold commas", "X,R,at most 230 at 115200 baud, this line's rate", refused("R", "at most 230 at 115200 baud, this line's rate")),
    ("another type is skipped, not damaged", "T,21.5", other("T")),
    ("types are told apart by the whole first field", "Sx,1,2", other("Sx")),
]

# The CRC is right and the payload is not: note, payload, answer.
BAD_PAYLOADS = [
    ("no type", "", bad("field-value", "type")),
    ("no type before the comma", ",1,2", bad("field-value", "type")),
    ("a hello of another version", "H,2,bench-4,tenwire-2.0,200,1F", bad("version-unknown", "version")),
    ("a hello cut short by its writer", "H,1,bench-4,tenwire-1.0,200", bad("field-missing", "senses")),
    ("a board's name with a blank", "H,1,bench 4,tenwire-1.0,200,1F", bad("field-value", "board")),
    ("a board's name of 17", "H,1,ABCDEFGHabcdef-90,f,200,1F", bad("field-value", "board")),
    ("no name", "H,1,,f,200,1F", bad("field-value", "board")),
    ("a rate of nought", "H,1,b,f,0,1F", bad("field-value", "rateHz")),
    ("senses of one digit", "H,1,b,f,200,F", bad("field-value", "senses")),
    ("an empty span", "C,0,gal,4092,4092", bad("field-value", "maxCount")),
    ("a span without an end", "C,0,gal,0", bad("field-missing", "maxCount")),
    ("an index that is no number", "C,one,gal,0,4092", bad("field-value", "index")),
    ("seq beyond 16 bits", "S,65536,0,1,1,1,1,01", bad("field-value", "seq")),
    ("seq below nought", "S,-1,0,1,1,1,1,01", bad("field-value", "seq")),
    ("tUs beyond 32 bits", "S,0,4294967296,1,1,1,1,01", bad("field-value", "tUs")),
    ("a count with a decimal point", "S,0,0,1.5,1,1,1,01", bad("field-value", "gal")),
    ("a count with a plus sign", "S,0,0,1,+1,1,1,01", bad("field-value", "pos")),
    ("a count with a blank", "S,0,0,1,1, 1,1,01", bad("field-value", "drv")),
    ("a count in exponent notation", "S,0,0,1e3,1,1,1,01", bad("field-value", "gal")),
    ("a count beyond 32 bits", "S,0,0,2147483648,1,1,1,01", bad("field-value", "gal")),
    ("a minus sign alone", "S,0,0,-,1,1,1,01", bad("field-value", "gal")),
    ("row 21", "S,0,0,1,1,1,21,01", bad("field-value", "row")),
    ("an empty row: unknown is 0", "S,0,0,1,1,1,,01", bad("field-value", "row")),
    ("flags of three digits", "S,0,0,1,1,1,1,001", bad("field-value", "flags")),
    ("flags that are not hexadecimal", "S,0,0,1,1,1,1,0G", bad("field-value", "flags")),
    ("a sample cut short by its writer", "S,0,0,1,1,1,1", bad("field-missing", "flags")),
    ("an event without a name", "E,5,", bad("field-value", "name")),
    ("an event without anything", "E", bad("field-missing", "tUs")),
    ("an answer to nothing", "A", bad("field-missing", "command")),
    ("a refusal without a reason", "X,R", bad("field-missing", "reason")),
]

SAMPLE = "S,100,500000,2048,1020,1200,8,0B"
SEALED = seal(SAMPLE)
SAMPLE_FRAME = sample(100, 500000, 2048, 1020, 1200, 8, 11)
# With star, CRC and line feed 120 bytes, the longest line that there may be.
LONGEST = "T," + "x" * 112


def changed(index, character):
    return SEALED[:index] + character + SEALED[index + 1 :]


# Whole lines as they come: note, line, answer.
SOUND_LINES = [
    ("a carriage return before the line feed is tolerated", SEALED + "\r", SAMPLE_FRAME),
    ("119 bytes and a line feed: just short enough", seal(LONGEST), other("T")),
    ("118 bytes, carriage return, line feed", seal(LONGEST[:-1]) + "\r", other("T")),
]

DAMAGED_LINES = [
    ("nothing", "", bad("no-crc")),
    ("a carriage return alone", "\r", bad("no-crc")),
    ("two carriage returns", SEALED + "\r\r", bad("no-crc")),
    ("text without a CRC", SAMPLE, bad("no-crc")),
    ("a CRC in lower case", SAMPLE + "*" + crc(SAMPLE).lower(), bad("no-crc")),
    ("a CRC of three digits", SEALED[:-1], bad("no-crc")),
    ("something behind the CRC", SEALED + " ", bad("no-crc")),
    ("one digit of a count changed", changed(14, "3"), bad("crc-mismatch")),
    ("the last bit of the last flag changed", SAMPLE[:-1] + "C*" + crc(SAMPLE), bad("crc-mismatch")),
    ("two bytes swapped", SAMPLE.replace("100", "010", 1) + "*" + crc(SAMPLE), bad("crc-mismatch")),
    ("the CRC of another algorithm, initial value 0", SAMPLE + "*" + crc(SAMPLE, 0), bad("crc-mismatch")),
    ("the end of a line, as when attached in mid-stream", SEALED[9:], bad("crc-mismatch")),
    ("a line feed lost: two lines as one", SEALED + SEALED, bad("crc-mismatch")),
    ("a top bit set on the way", changed(14, chr(ord(SEALED[14]) | 0x80)), bad("crc-mismatch")),
    ("the CRC is right, but a byte is above 0x7E", seal("T,\u00e9"), bad("byte-out-of-range")),
    ("the CRC is right, but a byte is 0x7F", seal("T,\u007f"), bad("byte-out-of-range")),
    ("the CRC is right, but a byte is a tabulator", seal("T,\t1"), bad("byte-out-of-range")),
    ("the CRC is right, but a nought byte", seal("T,\u0000"), bad("byte-out-of-range")),
    ("the CRC is right, but a star in the payload", seal("T,1*2"), bad("byte-out-of-range")),
    ("120 bytes and a line feed", seal(LONGEST + "x"), bad("too-long")),
    ("119 bytes, carriage return, line feed", seal(LONGEST) + "\r", bad("too-long")),
    ("garbage of 300 bytes", "U" * 300, bad("too-long")),
]

# Lines to a board.
COMMANDS = [
    ("typed by a person", "?", {"type": "?"}),
    ("with its CRC", seal("?"), {"type": "?"}),
    ("with a carriage return", "?\r", {"type": "?"}),
    ("both", seal("?") + "\r", {"type": "?"}),
    ("a rate", "R,200", rate(200)),
    ("a rate with its CRC", seal("R,1000"), rate(1000)),
    ("the highest that can be asked for", "R,65535", rate(65535)),
    ("extra fields are skipped", "R,50,x", rate(50)),
    ("a command of some boards", "N,bench-4", other("N")),
    ("lower case is another command", "r,200", other("r")),
    ("no rate", "R", bad("field-missing", "rateHz")),
    ("an empty rate", "R,", bad("field-value", "rateHz")),
    ("nought", "R,0", bad("field-value", "rateHz")),
    ("below nought", "R,-5", bad("field-value", "rateHz")),
    ("beyond 16 bits", "R,65536", bad("field-value", "rateHz")),
    ("a decimal point", "R,12.5", bad("field-value", "rateHz")),
    ("no type", ",5", bad("field-value", "type")),
    ("a wrong CRC is refused", "R,200*0000", bad("crc-mismatch")),
    ("a star asks for a CRC", "R,200*", bad("no-crc")),
    ("a damaged byte", "R,2\u00b00", bad("byte-out-of-range")),
    ("too long", "?" + " " * 130, bad("too-long")),
]

# Frames and the payload that a writer makes of each.
ENCODE = [
    (hello("bench-4", "tenwire-1.0", 200, 31), "H,1,bench-4,tenwire-1.0,200,1F"),
    (hello("b", "f", 166.667, 0), "H,1,b,f,166.667,00"),
    (channel(0, "gal", 0, 4092), "C,0,gal,0,4092"),
    (channel(1, "pos", -8, 32767), "C,1,pos,-8,32767"),
    (sample(0, 0, 0, 0, 0, 0, 0), "S,0,0,0,0,0,0,00"),
    (sample(100, 500000, 2048, 1020, 1200, 8, 11), "S,100,500000,2048,1020,1200,8,0B"),
    (sample(65535, 4294967295, 4092, 4092, 4092, 20, 31), "S,65535,4294967295,4092,4092,4092,20,1F"),
    (sample(7, 35000, 2047, None, None, 0, 1), "S,7,35000,2047,,,0,01"),
    (sample(9, 45000, -2147483648, -1, 2147483647, 3, 3), "S,9,45000,-2147483648,-1,2147483647,3,03"),
    (event(1234567, "mark"), "E,1234567,mark"),
    (event(4294967295, "overrun", "12"), "E,4294967295,overrun,12"),
    (accepted("R,200"), "A,R,200"),
    (refused("R", "at most 230 at this baud rate"), "X,R,at most 230 at this baud rate"),
]

# Payloads for the CRC alone.
CRC_TEXTS = ["123456789", "", "?", "A", "S,0,0,0,0,0,0,00", "R,200", "~" * 64]


def cases(triples):
    return [{"note": note, "line": line, "expect": expect} for note, line, expect in triples]


def sealed(triples):
    return [(note, seal(payload), expect) for note, payload, expect in triples]


LISTS = {
    "crc": [{"text": text, "crc": crc(text)} for text in CRC_TEXTS],
    "lines": cases(sealed(GOOD) + SOUND_LINES + sealed(BAD_PAYLOADS) + DAMAGED_LINES),
    "commands": cases(COMMANDS),
    "encode": [{"frame": frame, "line": seal(payload)} for frame, payload in ENCODE],
}


def one_case_a_line(cases_of_list):
    return ",\n".join(json.dumps(case) for case in cases_of_list)


print('{"format": "tenwire-wire-vectors/1",\n"wireFormat": 1,')
print(",\n".join(f'"{name}": [\n{one_case_a_line(found)}\n]' for name, found in LISTS.items()))
print("}")
