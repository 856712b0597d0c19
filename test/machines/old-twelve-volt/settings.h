// Dunlin, an old 12 V printer, on the Tolsta 2040 since its first board died.
#ifndef DUNLIN_SETTINGS_H
#define DUNLIN_SETTINGS_H

#include "machine.h"

#define MACHINE_TITLE "Dunlin"
#define MACHINE_BOARD "Tolsta 2040"
#define MACHINE_KINEMATICS CARTESIAN
#define BUILD_TARGET "tolsta-rp2040"
#define BUILD_CLOCK_HZ (12 * 1000000)
#define BUILD_LOAD_ADDRESS 0x10000000

#define LINK_HOST_PORT 0
#define LINK_HOST_BAUD 115200
#define LINK_HOST_LINE_WINDOW 2
#define LINK_HOST_RECEIVE_BUFFER_BYTES 256

#define STORE_ENABLED 1
#define STORE_KEY "dunlin-2"

#endif
