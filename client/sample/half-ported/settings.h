// Wren, a small printer, on the Fjell 32.
#ifndef WREN_SETTINGS_H
#define WREN_SETTINGS_H

// What is built
#define MACHINE_TITLE "Wren"
#define MACHINE_BOARD "Fjell 32"
#define MACHINE_KINEMATICS CARTESIAN
#define BUILD_TARGET "tarn8-m1284"
#define BUILD_CLOCK_HZ 8000000

// Links
#define LINK_HOST_PORT 0
#define LINK_HOST_BAUD 250000
#define LINK_HOST_LINE_WINDOW 4
#define LINK_HOST_RECEIVE_BUFFER_BYTES 256
#define LINK_PANEL_PORT 2
#define LINK_PANEL_BAUD 115200

// Stored values: change the key when the defaults below must win
#define STORE_ENABLED 1
#define STORE_KEY "wren-18"

#define TOOL_COUNT 1

// Limit for the new magnetic sheet
#define BED_MAX_TEMPERATURE_CELSIUS 90

#include "pins.h"
#include "motion.h"
#include "heat.h"

#endif
