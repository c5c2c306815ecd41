// SPDX-License-Identifier: MIT OR GPL-2.0
/*
 * A 1-Wire bus with DS18B20 on it that are not there: below the kernel's own w1 and w1_therm drivers, above
 * no hardware. Each probe answers the data sheet's commands (DS18B20, 19-7487): match and skip ROM, convert,
 * read scratchpad, recall, read power supply. What it measures is set by
 *     echo 21500,20000 > /sys/module/trial_w1/parameters/milli_c
 * and a probe whose bit in `gone` is set neither answers nor is found.
 */
#include <linux/module.h>
#include <linux/w1.h>

#define PROBES 6
#define SCRATCHPAD 9

static int milli_c[PROBES] = { 21500, 21500, 21500, 21500, 21500, 21500 };
module_param_array(milli_c, int, NULL, 0644);
static uint count = 2;
module_param(count, uint, 0444);
static uint gone;
module_param(gone, uint, 0644);

static u8 roms[PROBES][8];
static u8 pads[PROBES][SCRATCHPAD];

/* Where the talk on the bus stands since the last reset. */
static u8 matched[8];
static int heard; /* bytes of the ROM heard; -1: a ROM command is awaited; 8: a function is awaited */
static int spoken; /* by how many probes: -1 all, else the number of the one, PROBES for none */
static u8 function;
static int at;

static bool there(int probe)
{
	return probe < count && !(gone & BIT(probe));
}

static void measure(int probe)
{
	s16 sixteenths = milli_c[probe] * 16 / 1000;
	u8 *pad = pads[probe];

	pad[0] = sixteenths & 0xff;
	pad[1] = sixteenths >> 8;
	pad[2] = 0x4b;
	pad[3] = 0x46;
	pad[4] = 0x7f; /* 12 bits */
	pad[5] = 0xff;
	pad[6] = 0x10 - (sixteenths & 0xf);
	pad[7] = 0x10;
	pad[8] = w1_calc_crc8(pad, 8);
}

static u8 reset(void *data)
{
	int probe;

	heard = -1;
	function = 0;
	for (probe = 0; probe < PROBES; probe++)
		if (there(probe))
			return 0; /* a presence pulse */
	return 1;
}

static void convert(void)
{
	int probe;

	for (probe = 0; probe < PROBES; probe++)
		if (there(probe) && (spoken == -1 || spoken == probe))
			measure(probe);
}

static void write_byte(void *data, u8 byte)
{
	if (heard == -1) {
		spoken = byte == W1_SKIP_ROM ? -1 : PROBES;
		heard = byte == W1_SKIP_ROM ? 8 : 0;
	} else if (heard < 8) {
		matched[heard++] = byte;
		if (heard < 8)
			return;
		for (spoken = 0; spoken < PROBES; spoken++)
			if (there(spoken) && !memcmp(matched, roms[spoken], 8))
				break;
	} else if (!function) {
		function = byte;
		at = 0;
		if (byte == 0x44)
			convert();
	}
}

static u8 read_byte(void *data)
{
	if (function == 0xbe && spoken >= 0 && spoken < PROBES)
		return at < SCRATCHPAD ? pads[spoken][at++] : 0xff;
	return 0xff; /* nobody pulls the line down; so answers a probe with a supply of its own */
}

static u8 touch_bit(void *data, u8 bit)
{
	return bit; /* after a conversion: done */
}

static void search(void *data, struct w1_master *master, u8 kind, w1_slave_found_callback found)
{
	int probe;

	for (probe = 0; probe < PROBES; probe++)
		if (there(probe))
			found(master, le64_to_cpup((__le64 *)roms[probe]));
}

static struct w1_bus_master bus = {
	.reset_bus = reset,
	.write_byte = write_byte,
	.read_byte = read_byte,
	.touch_bit = touch_bit,
	.search = search,
};

static int __init begin(void)
{
	int probe;

	for (probe = 0; probe < PROBES; probe++) {
		u8 rom[8] = { 0x28, 0x10 + probe, 0x5f, 0x79, 0xa2, 0x16, 0x03, 0 };

		rom[7] = w1_calc_crc8(rom, 7);
		memcpy(roms[probe], rom, 8);
		measure(probe);
		/* power-on value, until the first conversion: 85 degrees */
		pads[probe][0] = 0x50;
		pads[probe][1] = 0x05;
		pads[probe][6] = 0x0c;
		pads[probe][8] = w1_calc_crc8(pads[probe], 8);
	}
	return w1_add_master_device(&bus);
}

static void __exit end(void)
{
	w1_remove_master_device(&bus);
}

module_init(begin);
module_exit(end);
MODULE_LICENSE("Dual MIT/GPL");
MODULE_DESCRIPTION("A 1-Wire bus with DS18B20 that are not there");
