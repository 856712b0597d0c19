// Plover, a printer with a moving bed, on the Skerry 32.
#pragma once

#define MACHINE_TITLE "Plover"
#define MACHINE_BOARD "Skerry 32"
#define MACHINE_KINEMATICS CARTESIAN

#define BUILD_TARGET "skerry32-f103"
#define BUILD_CLOCK_HZ 8000000
#define BUILD_LOAD_ADDRESS 0x08002000

#define LINK_HOST_PORT 1
#define LINK_HOST_BAUD 250000
#define LINK_HOST_LINE_WINDOW 4
#define LINK_HOST_RECEIVE_BUFFER_BYTES 512
#define LINK_PANEL_PORT 3
#define LINK_PANEL_BAUD 115200

#define STORE_ENABLED 1
#define STORE_KEY "plover-4"

#define TOOL_COUNT 1

#include "pins.h"
#include "motion.h"
#include "heat.h"
