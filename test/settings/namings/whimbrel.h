#ifndef WHIMBREL_CFG
#define WHIMBREL_CFG

/* GENERAL */
#define MCH_NAME "W2"
#define BRD_TYPE "tarn8"
#define KINEM CARTESIAN
#define MCU_TGT "m1284"
#define XTAL_HZ 16000000
#define APP_ADDR 0x2000
#define NVM_USE 1
#define NVM_MAGIC 90
#define LANG_NO 2

/* SERIAL */
#define SER_PC 0
#define SER_PC_BD 230400
#define SER_PC_WIN 8
#define SER_PC_RXBUF 256
#define SER_LCD 1
#define SER_LCD_BD 57600

/* AXES: X Y Z E */
#define STP_PINS {P2, P5, P8, P11}
#define DIR_PINS {P3, P6, P9, P12}
#define ENA_PINS {P4, P7, P10, P13}
#define ENA_LVL {LOW, LOW, LOW, LOW}
#define DIR_REV {0, 1, 0, 1}
#define STP_Z2_PIN P14
#define DIR_Z2_PIN P15
#define ENA_Z2_PIN P10
#define DRV_FAM {"drv8825", "drv8825", "drv8825", "drv8825"}
#define USTEPS {16, 16, 16, 16}
#define SPMM {80, 80, 1600, 96.5}
#define VMAX {9000, 9000, 600, 3000}  /* mm/min */
#define AMAX {1500, 1500, 100, 5000}
#define I_RUN {900, 900, 1100, 700}  /* mA */
#define I_HOLD {450, 450, 900, 350}  /* mA */
#define R_SENS {0.11, 0.11, 0.11, 0.11}
#define V_REF {0.8, 0.8, 0.9, 0.6}
#define T_PULSE_US {2, 2, 2, 2}
#define T_DIRSU_US {20, 20, 20, 20}
#define TRV_LO {0, 0, 0}
#define TRV_HI {200, 200, 180}

/* HOMING */
#define HOM_SIDE {LOW, LOW, HIGH}
#define HOM_POS {0, 0, 180}
#define HOM_VEL {2400, 2400, 300}
#define HOM_BY {ENDSTOP, ENDSTOP, PROBE}

/* SWITCHES */
#define SW_LO_PIN {P20, P21, P22}
#define SW_HI_PIN {P23, P24, P25}
#define SW_LO_ACT {HIGH, HIGH, HIGH}
#define SW_HI_ACT {HIGH, HIGH, HIGH}
#define SW_LO_PULL {UP, UP, UP}
#define SW_LO_DEB_MS {2, 2, 2}
#define SW_IRQ 0
#define PRB_PIN P30
#define PRB_ACT LOW
#define PRB_PULL UP
#define PRB_OFS {-20, 5, -1.2}
#define PRB_VEL 300  /* mm/min */
#define PRB_X_MIN 20
#define PRB_X_MAX 180
#define PRB_Y_MIN 15
#define PRB_Y_MAX 190

/* PLANNER */
#define PLN_DEPTH 16
#define ACC_WORK 800
#define ACC_TRAV 1200
#define CRN_DEV 0.05
#define SEG_MIN 0.3
#define MOT_IDLE_S 600

/* NOZZLE */
#define NZ_CNT 1
#define NZ_HTR_PIN P40
#define NZ_HTR_LVL HIGH
#define NZ_HTR_HZ 8
#define NZ_HTR_CTL PID
#define NZ_KP 18.4
#define NZ_KI 1.1
#define NZ_KD 71.2
#define NZ_PWR_W 40
#define NZ_DUTY_MAX 100
#define NZ_SNS_PIN P50
#define NZ_SNS_PU 4700
#define NZ_SNS_CRV "ntc-100k-3950"
#define NZ_SNS_R25 100000
#define NZ_SNS_BETA 3950
#define NZ_T_MAX 250
#define NZ_T_MIN_FEED 165

/* HEATED BED */
#define HB_HTR_PIN P41
#define HB_HTR_LVL HIGH
#define HB_HTR_CTL ON_OFF
#define HB_SNS_PIN P51
#define HB_SNS_PU 4700
#define HB_SNS_CRV "ntc-100k-3950"
#define HB_T_MAX 110

/* GUARDS */
#define GRD_NZ_EN 1
#define GRD_NZ_RISE_K 2
#define GRD_NZ_RISE_S 20
#define GRD_NZ_HOLD_K 6
#define GRD_NZ_HOLD_S 40
#define GRD_NZ_T_CUT 275
#define GRD_NZ_T_LOW 3
#define GRD_HB_EN 1
#define GRD_HB_RISE_K 2
#define GRD_HB_RISE_S 60
#define GRD_HB_HOLD_K 4
#define GRD_HB_HOLD_S 90
#define GRD_HB_T_CUT 125
#define COLD_FEED_LOCK 1
#define WDG_EN 1
#define WDG_S 2
#define HTR_IDLE_S 3600

/* FANS AND OUTPUTS */
#define FAN_PRT_PIN P60
#define FAN_PRT_HZ 120
#define FAN_PRT_DMIN 25  /* % */
#define FAN_PRT_KICK_MS 150
#define FAN_CLD_PIN P61  /* cold side of the nozzle */
#define FAN_CLD_T_ON 50
#define FAN_ELX_PIN P62  /* electronics */
#define FAN_ELX_T_ON 40
#define SPN_PIN P63
#define SPN_HZ 1000
#define SPN_RPM_MAX 12000
#define SPN_RPM_MIN 3000
#define SPN_START_S 4
#define LSR_PIN P64
#define LSR_LVL HIGH
#define LSR_HZ 5000
#define CLT_PIN P65
#define CLT_LVL LOW
#define LMP_PIN P66
#define LMP_LVL HIGH
#define PWR_HOLD_PIN P67

/* ADC, PANEL */
#define ADC_BITS 10
#define ADC_OVS 16
#define KNOB_A_PIN P70
#define KNOB_B_PIN P71
#define KNOB_BTN_PIN P72
#define BUZ_PIN P73
#define CARD_SEL_PIN P74
#define CARD_DET_PIN P75
#define SPLASH_MS 1500

#endif
