#pragma once

// ---- The machine

#define machineLabel "Dotterel 3"
#define controllerBoard "moor-4"
#define frameKind COUPLED  // how the belts run
#define chipTarget "m4-512"
#define oscillatorMegahertz 8
#define imageStartAddress 0x08008000
#define keepSettingsInMemory true
#define settingsFingerprint 17  // change it to forget what is stored
#define greetingText "good morning"

// ---- Talking to the computer

#define computerPort 1
#define computerBitRate 250000  // baud
#define computerUnansweredLines 4
#define computerInputBytes 512
#define screenPort 2
#define screenBitRate 115200

// ---- Motor wiring

#define xPulseOutput PB2
#define xTurnOutput PB3
#define xDriverOnOutput PB4
#define yPulseOutput PB5
#define yTurnOutput PB6
#define yDriverOnOutput PB7
#define zPulseOutput PB8
#define zTurnOutput PB9
#define zDriverOnOutput PB10
#define feederPulseOutput PB11
#define feederTurnOutput PB12
#define feederDriverOnOutput PB13
#define zTwinPulseOutput PC8  // the second lifting motor
#define zTwinTurnOutput PC9
#define zTwinBackwards true
#define xDriverOnLevel LOW
#define yDriverOnLevel LOW
#define zDriverOnLevel LOW
#define xMotorBackwards false
#define yMotorBackwards true
#define zMotorBackwards false
#define feederMotorBackwards false

// ---- Drives

#define xPulsesPerMillimetre 80.0f
#define yPulsesPerMillimetre 80.0f
#define zPulsesPerMillimetre 400.0f
#define feederPulsesPerMillimetre 415.0f
#define xMicrostepping 16
#define yMicrostepping 16
#define zMicrostepping 16
#define xMotorAmps 0.9f  // A, rms
#define yMotorAmps 0.9f  // A, rms
#define zMotorAmps 1.1f  // A, rms
#define xRestingAmps 0.45f  // A, rms
#define yRestingAmps 0.45f  // A, rms
#define speedMaxX 180  // mm/s
#define speedMaxY 180  // mm/s
#define speedMaxZ 12  // mm/s
#define speedMaxFeeder 45  // mm/s
#define accelerationMaxX 2500  // mm/s²
#define accelerationMaxY 2500  // mm/s²
#define accelerationMaxZ 150  // mm/s²
#define xPulseLength 2  // µs
#define xTurnLead 5  // µs between turning round and the first pulse
#define xTravelStart 0  // mm
#define xTravelFinish 220  // mm
#define yTravelStart 0  // mm
#define yTravelFinish 215  // mm
#define zTravelStart 0  // mm
#define zTravelFinish 190  // mm

// ---- Finding home

#define xHomesTowards LOW
#define yHomesTowards LOW
#define zHomesTowards HIGH
#define xHomingPace 40  // mm/s
#define yHomingPace 40  // mm/s
#define zHomingPace 6  // mm/s
#define xPositionAtHome -2.5
#define yPositionAtHome 0
#define xStartSwitchInput PD0
#define yStartSwitchInput PD1
#define zFinishSwitchInput PD2
#define xStartSwitchTrippedAt HIGH
#define yStartSwitchTrippedAt HIGH
#define zFinishSwitchTrippedAt LOW
#define xStartSwitchPull UP
#define yStartSwitchPull UP
#define xStartSwitchSettling 3  // ms until a contact has stopped bouncing
#define yStartSwitchSettling 3  // ms
#define watchSwitchesAlways true
#define probeInput PD3
#define probeTrippedAt LOW
#define probeOffsetSideways -32  // mm, in X
#define probeOffsetForward 4.5  // mm, in Y
#define probeOffsetUp -1.2  // mm, in Z
#define probePace 5  // mm/s

// ---- Moves

#define moveQueueLength 32
#define printingAcceleration 1500  // mm/s²
#define emptyMoveAcceleration 2000  // mm/s²
#define cornerRounding 0.02  // mm
#define smallestSegment 0.5  // mm
#define motorSleepAfter 300  // s

// ---- Nozzle

#define nozzleHeaterOutput PE1
#define nozzleHeaterOnLevel HIGH
#define nozzleHeaterPulseRate 10  // Hz
#define nozzleHeaterRegulation PID
#define nozzleGainP 22.1
#define nozzleGainI 1.75
#define nozzleGainD 88
#define nozzlePowerCap 90  // %
#define nozzleThermometerInput PA1
#define nozzleThermometerPullUp 4700  // Ω
#define nozzleThermometerCurve "ntc-100k-3950"
#define temperatureMaxNozzle 260  // °C
#define coldestFeeding 170  // °C, no filament is moved below

// ---- Bed

#define bedHeaterOutput PE2
#define bedHeaterOnLevel HIGH
#define bedHeaterRegulation ONOFF
#define bedThermometerInput PA2
#define bedThermometerPullUp 4700  // Ω
#define bedThermometerCurve "ntc-100k-3950"
#define temperatureMaxBed 110  // °C

// ---- Safeguards

#define nozzleWatchRise true
#define nozzleRiseExpected 2  // K
#define nozzleRisePeriod 20  // s
#define nozzleWatchHolding true
#define nozzleHoldTolerance 8  // K
#define nozzleHoldPeriod 40  // s
#define nozzleCutOff 285  // °C
#define nozzleLeastReading 5  // °C, a broken sensor reads less
#define bedRiseExpected 2  // K
#define bedRisePeriod 60  // s
#define bedHoldTolerance 4  // K
#define bedHoldPeriod 60  // s
#define bedCutOff 125  // °C
#define refuseColdFeeding true
#define hangGuardOn true  // restarts a controller that got stuck
#define hangGuardSeconds 4
#define heatersOffAfter 1800  // s without a command

// ---- Fans

#define partFanOutput PE5
#define partFanPulseRate 25000  // Hz
#define partFanLeastDuty 20  // %
#define partFanKickTime 200  // ms
#define coldSideFanOutput PE6
#define coldSideFanFrom 50  // °C
#define boardFanOutput PE7

// ---- Panel

#define knobInputA PF0
#define knobInputB PF1
#define knobButtonInput PF2
#define buzzerOutput PF3
#define cardChooseOutput PF4
#define cardPresentInput PF5
#define wallpaperNumber 3
