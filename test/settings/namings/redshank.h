#ifndef Redshank_Einstellungen
#define Redshank_Einstellungen

/**************** Basis ****************/
#define sMachine_Name "Redshank"
#define sBoard_Name "Kote B"
#define eMachine_Geometry eCartesian
#define nQuartz_Hz 16000000UL
#define nFlash_Begin 0x4000
#define bEeprom_EN 1
#define nEeprom_Version 12
#define nTheme_Colour 4

/**************** Schnittstelle / interface ****************/
#define nHost_Uart 0
#define nHost_Uart_Speed 500000
#define nHost_Ack_Lines 8
#define nHost_Rx_Size 128
#define nDisplay_Uart 2
#define nDisplay_Uart_Speed 38400

/**************** Achsen / axes ****************/
#define fSteps_X_mm 160.0
#define fSteps_Y_mm 160.0
#define fSteps_Z_mm 800.0
#define fSteps_E1_mm 143.2
#define fSteps_E2_mm 143.2
#define fSpeed_Max_X 150
#define fSpeed_Max_Y 150
#define fSpeed_Max_Z 10
#define fSpeed_Max_E1 50
#define fSpeed_Max_E2 50
#define fAccel_Max_X 1800
#define fAccel_Max_Y 1800
#define fAccel_Max_Z 120
#define nCurrent_X_Run_mA 800
#define nCurrent_Y_Run_mA 800
#define nCurrent_Z_Run_mA 950
#define nCurrent_X_Stand_mA 400
#define nCurrent_Y_Stand_mA 400
#define nShunt_X_mOhm 110
#define nShunt_Y_mOhm 110
#define nMicrostep_X 32
#define nMicrostep_Y 32
#define nMicrostep_Z 32
#define bReverse_X_EN 0
#define bReverse_Y_EN 1
#define bReverse_Z_EN 0
#define nPin_X_Step 54
#define nPin_X_Dir 55
#define nPin_X_Release 38  // driver enable
#define nPin_Y_Step 60
#define nPin_Y_Dir 61
#define nPin_Y_Release 56
#define nPin_E1_Step 26
#define nPin_E1_Dir 28
#define fSoftlimit_X_Neg -3
#define fSoftlimit_X_Pos 215
#define fSoftlimit_Y_Neg 0
#define fSoftlimit_Y_Pos 205
#define nStep_Pulse_X_ns 1900

/**************** Referenzfahrt / homing ****************/
#define fRef_Speed_X 25
#define fRef_Speed_Y 25
#define fRef_Pos_X -3.0
#define fRef_Pos_Y 0.0
#define eRef_Side_X NEG
#define eRef_Side_Y NEG
#define nPin_Limit_X_Neg 3
#define nPin_Limit_Y_Neg 14
#define nPin_Limit_Z_Pos 19
#define bLimit_X_Neg_ActiveHigh 1
#define bLimit_Y_Neg_ActiveHigh 1
#define nLimit_X_Neg_Debounce 4
#define nPin_Touch_Probe 18
#define fTouch_Probe_Speed 3
#define fTouch_Probe_dX 28.5
#define fTouch_Probe_dY -6
#define fTouch_Probe_dZ -0.8

/**************** Bahnplanung / path planning ****************/
#define nLookahead_Blocks 24
#define fAccel_Print 900
#define fAccel_Rapid 1500
#define fCorner_Tolerance_um 30
#define nMotor_Standby_min 10

/**************** Heizung / heating ****************/
#define nTool_Count 2
#define nPin_Heater_Tool1 10
#define nPin_Heater_Tool2 9
#define nPin_Heater_Bed 8
#define nPin_Sensor_Tool1 13
#define nPin_Sensor_Tool2 15
#define nPin_Sensor_Bed 16
#define sSensor_Curve_Tool1 "ntc-100k-3950"
#define sSensor_Curve_Tool2 "ntc-100k-3950"
#define nTemp_Limit_Tool1 245
#define nTemp_Limit_Tool2 245
#define nTemp_Limit_Bed 100
#define nTemp_Trip_Tool1 270
#define nTemp_Trip_Tool2 270
#define nTemp_Trip_Bed 115
#define nTemp_Feed_Min_Tool1 175
#define nTemp_Feed_Min_Tool2 175
#define fPid_P_Tool1 20.5
#define fPid_I_Tool1 1.2
#define fPid_D_Tool1 80
#define nHeatup_Delta_Tool1 2  // K
#define nHeatup_Time_Tool1 25  // s
#define nDrift_Delta_Tool1 10  // K
#define nDrift_Time_Tool1 45  // s
#define bWatchdog_EN 1
#define nWatchdog_ms 4000
#define nHeater_Auto_Off_min 30
#define bCold_Extrusion_Lock_EN 1

/**************** Ausgaenge / outputs ****************/
#define nPin_Fan_Object 5
#define nFan_Object_PwmHz 25000
#define nFan_Object_Min_Percent 15
#define nPin_Fan_Throat1 6  // keeps the cold side of tool 1 cold
#define nFan_Throat1_On_Temp 45
#define nPin_Fan_Cabinet 7  // electronics
#define nPin_Spindle 11
#define nSpindle_Rpm_Max 10000
#define nSpindle_Rpm_Min 2000
#define nPin_Pen_Servo 12
#define nPen_Up_us 1200
#define nPen_Down_us 1700
#define nPen_Wait_ms 150
#define nPin_Worklight 40
#define nPin_Knob_A 31
#define nPin_Knob_B 33
#define nPin_Knob_Push 35
#define nPin_Beeper 37
#define nPin_Card_Detect 49
#define nAdc_Bits 10

#endif
